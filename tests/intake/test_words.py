"""Words for values, and what a cover beside an event says."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

HEADS = "field,date,event,cover\n"


def kinds(folder) -> list[tuple[str, str | None]]:  # type: ignore[no-untyped-def]
    """Kind and cover of the events told."""
    return [(event.what, event.cover) for event in folder.read()["events.csv"].records]


@pytest.mark.parametrize(
    ("word", "ours"),
    [
        ("burndown", "cover killed"), ("Terminated", "cover killed"), ("sprayed out", "cover killed"),
        ("rye terminated", "cover killed"), ("killed", "cover killed"), ("field cultivate", "tilled"), ("disked", "tilled"),
        ("chisel", "tilled"), ("vertical till", "tilled"), ("looked", "weeds seen"), ("weeds", "weeds seen"),
        ("spike", "emerged"), ("up", "emerged"),
    ],
)  # fmt: skip
def test_words_that_plainly_mean_ours_are_read_and_said_once(folder, word, ours):
    """A person writes as they talk; what was made of it is said, once a file."""
    told = folder.told("events.csv", HEADS + f"north,2016-04-10,{word},\nsouth,2016-04-11,{word},\n")
    assert told == [
        f"note events.csv, row 2, column event = {word}: read as {ours!r}; nothing, or say what it means under "
        "[values.events] in season.toml."
    ]
    assert [what for what, _ in kinds(folder)] == [ours, ours]


def test_a_plant_is_no_amount_of_cover(folder):
    """How green a rye stand is nobody can tell from its name."""
    assert folder.told("events.csv", HEADS + "north,2016-04-10,weeds seen,chickweed\n") == [
        "refused events.csv, row 2, column cover = chickweed: not on the list; write one of: black, residue, clean, few weeds, "
        "some weeds, many weeds, dense; or say what your word means under [values.cover] in season.toml."
    ]


def test_own_words_are_mapped_in_season_toml(folder):
    """The user's own words go before ours, in any case, and need no note."""
    values = (
        '[values.events]\n"knocked down" = "cover killed"\n"disked" = "weeds seen"\n[values.cover]\nRye = "dense"\n'
    )
    folder.write("season.toml", folder.season + values + '[values.trap_kind]\npaper = "wing"\n')
    folder.write("traps.csv", "trap,kind,latitude,longitude\nm,Paper,40.7,-96.85\n")
    assert folder.told("events.csv", HEADS + "north,2016-04-10,Knocked  Down,rye\nsouth,2016-04-11,disked,\n") == []
    assert kinds(folder) == [("weeds seen", "dense"), ("cover killed", "residue"), ("weeds seen", None)]
    assert folder.read()["traps.csv"].records[0].trap_kind == "wing"


def test_a_mapped_word_must_mean_one_of_ours(folder):
    """A slip in the mapping would refuse every row."""
    told = folder.told("season.toml", folder.season + '[values.events]\nburn = "kiled"\n[values.hail]\na = "b"\n')
    assert told == [
        "refused season.toml, values.hail = {'a': 'b'}: no such key; it is not read; there are: cover, events, history, passes, pests, texture, trap_kind; take it out.",
        "refused season.toml, values.events.burn = kiled: not on the list; write one of: weeds seen, cover killed, tilled, "
        "emerged, planted, hail, ponding, water gone, wind, frost, crust, baits set, torn up.",
    ]


@pytest.mark.parametrize("kind", ["wing trap", "Wing pheromone", "sticky-wing"])
def test_kinds_of_traps(folder, kind):
    """Traps have many names; the kind picks the threshold."""
    (told,) = folder.told("traps.csv", f"trap,kind,latitude,longitude\nm,{kind},40.7,-96.85\n")
    assert told == (
        f"note traps.csv, row 2, column kind = {kind}: read as 'wing'; nothing, or say what it means under "
        "[values.trap_kind] in season.toml."
    )
    assert folder.read()["traps.csv"].records[0].trap_kind == "wing"


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("cover killed,dense", [("weeds seen", "dense"), ("cover killed", "residue")]),
        ("cover killed,few weeds", [("weeds seen", "few weeds"), ("cover killed", "residue")]),
        ("cover killed,clean", [("cover killed", "clean")]),
        ("cover killed,", [("cover killed", None)]),
        ("tilled,many weeds", [("weeds seen", "many weeds"), ("tilled", "black")]),
        ("tilled,residue", [("tilled", "residue")]),
        ("weeds seen,dense", [("weeds seen", "dense")]),
        ("emerged,some weeds", [("emerged", "some weeds")]),
    ],
)
def test_green_beside_a_kill_is_what_was_killed(folder, row, expected):
    """Read as what is left, a killed dense cover would stay dense all spring."""
    assert folder.told("events.csv", HEADS + f"north,2016-04-20,{row}\n") == []
    assert sorted(kinds(folder), reverse=True) == sorted(expected, reverse=True)


def test_the_same_green_told_by_a_row_of_its_own(folder):
    """Said twice alike it counts once; said in two ways neither can be used."""
    rows = "north,2016-04-20,weeds seen,dense\nnorth,2016-04-20,cover killed,dense\n"
    assert folder.told("events.csv", HEADS + rows) == []
    assert kinds(folder) == [("weeds seen", "dense"), ("cover killed", "residue")]
    told = folder.told("events.csv", HEADS + rows.replace("seen,dense", "seen,few weeds"))
    assert [line.split(";")[0] for line in told] == [
        "refused events.csv, row 2, column event = weeds seen: told twice with different values (also in row 3)",
        "refused events.csv, row 3, column event = cover killed: told twice with different values (also in row 2)",
    ]
    assert kinds(folder) == []
