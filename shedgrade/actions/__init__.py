"""Change one thing each: take a session and plain values, never commit."""
