"""The base of every saved record: closed, frozen, no NaN."""

from pydantic import BaseModel, ConfigDict


class Closed(BaseModel):
    """Record without unknown keys that cannot change after it was made."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
