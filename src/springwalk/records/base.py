"""What every record shares: frozen, strict about unknown names, plain JSON out."""

from __future__ import annotations

from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict


class Record(BaseModel):
    """A thing seen or typed. Frozen; unknown names are refused; ``kind`` and ``schema_version`` name its payload."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
    kind: ClassVar[str] = "record"
    schema_version: ClassVar[int] = 1

    def body(self) -> str:
        """The exact JSON text kept in the store: names sorted by declaration, nothing left out."""
        return self.model_dump_json()

    def natural_key(self) -> str:
        """The key by which a file row finds the thing it speaks of, for example ``field:north-eighty``."""
        return f"{self.kind}:{getattr(self, 'id', '')}"


def plain(record: Record) -> dict[str, Any]:
    """The record as JSON-ready values."""
    return record.model_dump(mode="json")
