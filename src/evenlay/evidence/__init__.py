"""From what was measured to a value with its band; pure."""
