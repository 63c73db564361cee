"""What ``make bench`` prints: speeds as ratios against a plain second way in the same run."""

from __future__ import annotations

import platform
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))


def main() -> int:
    """Print every row."""
    import closed_form
    import contact
    import grains
    import processes

    print(f"{platform.machine()}, Python {platform.python_version()}")
    for part in (processes, closed_form, contact, grains):
        for name, value, unit in part.rows():
            print(f"{name:<64} {value:12.4g} {unit}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
