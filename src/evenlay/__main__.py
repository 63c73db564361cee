"""``python -m evenlay``."""

from evenlay.cli import main

main()
