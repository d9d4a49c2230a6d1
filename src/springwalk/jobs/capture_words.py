"""The words of season.toml that name a capture rule: known ones are kept, others are listed with those there are."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from springwalk.intake import Fault, FileRead
from springwalk.jobs.params import DEFAULT_RULE, STATES
from springwalk.records import Season
from springwalk.records.moths import TrapKind
from springwalk.tables import rows


def known_rules() -> list[str]:
    """Keys of the capture rules that a season may name."""
    return sorted({row["key"] for row in rows("capture_rules") if row["trap_kind"] in get_args(TrapKind)})


def with_known_rules(each: FileRead) -> FileRead:
    """season.toml with an unknown capture rule taken out and listed; a state without a rule of its own is noted."""
    faults = list(each.faults)
    records = []
    for record in each.records:
        if isinstance(record, Season):
            record, told = _checked(each.name, record)
            faults += told
        records.append(record)
    complete = each.complete and not any(fault.severity == "refused" for fault in faults)
    return replace(each, records=tuple(records), faults=tuple(faults), complete=complete)


def _checked(file: str, season: Season) -> tuple[Season, list[Fault]]:
    rules, usual = known_rules(), " and ".join(DEFAULT_RULE.values())
    if season.capture_rule and season.capture_rule not in rules:
        rule = "no such capture rule; it is not read"
        todo = f"write one of: {', '.join(rules)}, or leave it out"
        fault = Fault(file, 0, "season.capture_rule", season.capture_rule, rule, todo, "refused")
        return season.model_copy(update={"capture_rule": ""}), [fault]
    if season.capture_rule or not season.state or _has_a_rule(season.state):
        return season, []
    there = ", ".join(f"{name} or {code}" for code, name in sorted(STATES.items()))
    rule = f"no capture rule of this state is known here; the usual ones count ({usual})"
    todo = f"nothing, or name a rule under capture_rule ({', '.join(rules)}); states with a rule: {there}"
    return season, [Fault(file, 0, "season.state", season.state, rule, todo, "note")]


def _has_a_rule(state: str) -> bool:
    name = STATES.get(state.upper(), state).lower()
    return any(row["state"].lower() == name for row in rows("capture_rules"))
