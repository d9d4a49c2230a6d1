from __future__ import annotations

import io

from pypdf import PdfReader

from springwalk.paper.sheet import sheet as print_sheet
from tests.show import looks_sample, sample


def _text(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def test_the_paper_repeats_to_the_byte_and_has_no_date_of_making() -> None:
    """Same sheet, same file."""
    first = print_sheet(sample.sheet())
    assert first == print_sheet(sample.sheet())
    assert "/CreationDate" not in (PdfReader(io.BytesIO(first)).metadata or {})


def test_the_paper_is_letter_and_answer_first() -> None:
    """Letter paper; the first words are the answer; all fields, notes and the caution are on it."""
    pdf = print_sheet(sample.sheet())
    box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == (612.0, 792.0)
    pages = _text(pdf)
    assert pages[0].startswith("Tuesday 17 May: walk six fields")
    whole = " ".join(pages)
    for row in (*sample.walk_rows(), *sample.rest_rows()):
        assert row.name in whole
    assert "Before anyone sprays: find live larvae first." in whole
    assert "a yardstick for the order" in whole
    assert "Weather observed at Cold Spring 3 E" in whole


def test_names_are_data_not_markup() -> None:
    """A field's name with typst code in it is printed as it was typed."""
    first = sample.walk_rows()[0].model_copy(update={"name": '#panic("x") *bold* $x$'})
    sheet = sample.sheet().model_copy(update={"rows": (first,)})
    assert '#panic("x") *bold* $x$' in " ".join(_text(print_sheet(sheet)))


def test_the_paper_of_a_spring_without_moths_has_jobs_and_the_due_list() -> None:
    """Each job with its days and what presses; fields kept out; on the last page every look, with a box to tick."""
    pages = _text(print_sheet(looks_sample.sheet()))
    assert pages[0].startswith("Sunday 8 May: walk five fields Overdue: check the treatment in Elm Bottom;")
    assert "Overdue: After the treatment, was due 4–6 May" in pages[0]
    assert "Last day: Dig for cold-soaked seed, 6–8 May" in pages[0]
    assert "yardstick" not in " ".join(pages)
    assert "Fresh cut" not in " ".join(pages)
    assert "keep out until Monday 9 May, 06:30." in " ".join(pages)
    due = pages[-1].split("Due list")[1]
    assert due.startswith(" Overdue: one look")
    for name in ("North Eighty", "Pond Quarter", "Mill East", "South Draw"):
        assert name in due


def test_a_sheet_without_looks_has_no_due_list() -> None:
    """No empty heading at the end."""
    assert "Due list" not in " ".join(_text(print_sheet(sample.sheet())))


def test_an_empty_season_prints_what_to_do() -> None:
    """No fields: one page that says the next step."""
    pages = _text(print_sheet(sample.empty_sheet()))
    assert len(pages) == 1
    assert "There are no fields in this season yet." in pages[0]


def test_faces_are_inside_the_file() -> None:
    """The truck's printer has only what the file carries."""
    reader = PdfReader(io.BytesIO(print_sheet(sample.sheet())))
    fonts = {str(f.get_object()["/BaseFont"]) for f in reader.pages[0]["/Resources"]["/Font"].values()}
    assert any("OpenSans" in name for name in fonts)
    assert all("+" in name for name in fonts)
