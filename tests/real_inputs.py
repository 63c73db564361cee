"""
Bring real inputs that nobody here wrote into a cache, by package name: ``python tests/real_inputs.py``.

The source archives of two small packages that read surface files carry sample files in every revision (their own
samples: CC0; those of one third-party library among them: LGPL-3.0-or-later). They are not copied into this repository;
tests that need them are skipped, with a sentence, while the cache is empty.
"""

import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

CACHE = Path(__file__).resolve().parents[1] / ".cache" / "real-inputs"

PACKAGES = {
    "sdfio==2.0.0": "33a34ed9235a968cf9e564f8be822ee83a459a67290c20e47e942309989e8661",
    "x3pio==2.0.0": "cc64002605c7ed95f8d4531822b9f154b1ae0569f1cb224ac8ce6f99a15b3842",
}


def bring() -> None:
    CACHE.mkdir(parents=True, exist_ok=True)
    (CACHE.parent / ".gitignore").write_text("*\n", encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        wanted = Path(folder) / "wanted.txt"
        wanted.write_text("".join(f"{name} --hash=sha256:{digest}\n" for name, digest in PACKAGES.items()), encoding="utf-8")
        options = ["--quiet", "--disable-pip-version-check", "--no-binary", ":all:", "--no-deps", "--require-hashes"]
        command = [sys.executable, "-m", "pip", "download", *options, "--dest", folder, "-r", str(wanted)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            reason = next((line for line in reversed(done.stderr.splitlines()) if line.startswith("ERROR")), "no reason was given")
            sys.exit(f"Real inputs were not brought: {reason}")
        for name in PACKAGES:
            with tarfile.open(Path(folder) / f"{name.replace('==', '-')}.tar.gz") as archive:
                archive.extractall(CACHE, filter="data")
            print(f"{name}: {CACHE / name.replace('==', '-')}")


if __name__ == "__main__":
    bring()
