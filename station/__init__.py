"""Console of a surface-supplied dive station."""

__version__ = "0.1.0"
