"""What the keys do: each action asks for what is missing, builds one event, enters it."""
