"""A scripted dive from a scenario file, played through the very same watch as any other."""
