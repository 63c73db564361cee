"""``plan.json`` and the pictures beside it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from evenlay.files.whole import write_whole
from evenlay.job.answer_parts import SettingsRecord

if TYPE_CHECKING:
    from evenlay.job.plan_record import PlanRecord

NAME = "plan.json"
PICTURES = "pictures"


def plan_path(folder: Path) -> Path:
    """Where the plan of a job lies."""
    return folder / NAME


def plan_text(plan: PlanRecord) -> str:
    """Plan as JSON, the same bytes for the same plan."""
    return json.dumps(plan.model_dump(mode="json"), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def write_plan(folder: Path, plan: PlanRecord) -> Path:
    """Write the plan whole or not at all; return where it lies."""
    path = plan_path(folder)
    write_whole(path, plan_text(plan).encode("utf-8"))
    return path


def read_plan(folder: Path) -> PlanRecord | None:
    """Last plan of a job; None where there is none that this version can read."""
    from evenlay.job.plan_record import PlanRecord

    path = plan_path(folder)
    try:
        return PlanRecord.model_validate_json(path.read_bytes()) if path.is_file() else None
    except (ValidationError, OSError):
        return None


def read_plan_settings(folder: Path) -> SettingsRecord | None:
    """Settings of the last plan; None where there is none that can be read."""
    path = plan_path(folder)
    try:
        return SettingsRecord.model_validate(json.loads(path.read_bytes())["settings"]) if path.is_file() else None
    except (ValidationError, OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def write_picture(folder: Path, name: str, content: bytes) -> Path:
    """Write a picture into the job's ``pictures`` folder, whole or not at all; return where it lies."""
    path = folder / PICTURES / name
    path.parent.mkdir(exist_ok=True)
    write_whole(path, content)
    return path
