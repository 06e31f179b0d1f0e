"""From what was measured to a class, and why."""
