"""Plan an even linear grain with a belt and a robot, and know which line will show."""

__version__ = "0.1.0"
