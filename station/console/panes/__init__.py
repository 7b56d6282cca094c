"""What the console shows: fixed widgets, repainted only where their text changed."""
