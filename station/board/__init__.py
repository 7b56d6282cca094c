"""The whole station's state, folded from its events, and what is true of it now."""
