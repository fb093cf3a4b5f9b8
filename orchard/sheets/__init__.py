"""What the place prints: plots. A dataclass in, bytes out; no Django."""
