"""The care sheet of a piece in use, as text and on paper."""

from __future__ import annotations


def test_the_care_sheet(installed):
    sheet = installed.right("upkeep", "steps", "--care").words
    for words in (
        "Care of steps, boathouse", "four screws from below", "Sprinkle a few drops",
        "Not to be used", "Call when", "can catch fire by themselves", "An estimate only",
    ):  # fmt: skip
        assert words in sheet


def test_the_care_sheet_as_a_pdf_says_what_the_text_says(installed):
    file = installed.folder / "care.pdf"
    assert "care.pdf" in installed.right("upkeep", "steps", "--care", "-o", str(file)).out
    assert file.read_bytes().startswith(b"%PDF-")
    before = file.stat().st_mtime_ns
    installed.right("upkeep", "steps", "--care", "-o", str(file))
    assert file.stat().st_mtime_ns == before
    answer = installed("upkeep", "steps", "--care", "-o", str(installed.folder / "care.png"))
    assert answer.status == 2 and "end in .pdf" in answer.err
    answer = installed("upkeep", "steps", "-o", str(file))
    assert answer.status == 2 and "add --care" in answer.err
    assert "which piece" in installed("upkeep", "--care", "-o", str(file)).err


def test_every_line_of_the_care_sheet_is_set_on_the_pages(installed, monkeypatch):
    from finplan.prints import care_sheet as paper
    from finplan.services import care

    set_on = []
    real = paper.sheet_pdf
    monkeypatch.setattr(paper, "sheet_pdf", lambda sheet: set_on.append(sheet) or real(sheet))
    file = installed.folder / "care.pdf"
    installed.right("upkeep", "steps", "--care", "-o", str(file))
    (sheet,) = set_on
    told = " ".join(
        [sheet.title, *sheet.boxed, *(w for h, lines in sheet.blocks for w in (h, *lines))]
    )
    text = installed.right("upkeep", "steps", "--care").out
    for word in {word.strip("-=–") for word in text.split()}:
        assert word in told
    assert care.CLEANING[0] in told
