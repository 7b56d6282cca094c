"""Published decompression tables: the form of a table file, its checks, and looking figures up in it.

Depths here and in the rules built on the tables are in the unit that the table file names (`depth_unit`),
so that an authority's stops keep their printed depths whatever unit a reading was typed in.
"""
