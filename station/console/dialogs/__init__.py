"""What the console asks: every dialog can be left with Esc, and none of them hides the clock or an alarm."""
