"""What each command of `station` does; `station.cli` imports the one that was asked for, and no other."""
