"""Every number that is shipped says where it comes from."""

import re
import tomllib
from collections.abc import Mapping
from importlib import resources

import pytest

FILES = sorted(
    file.name
    for file in resources.files("finplan.library").iterdir()
    if file.name.endswith(".toml")
)
VOCABULARY = (
    *("from memory, unverified", "common practice, no source", "assumption: ", "upper end: "),
    *("Wood Handbook ", "from another document quoting the Wood Handbook", "ASTM D", "FEPA P"),
    *("CAMI grades", "TM 43-0139", "CID A-A-", "UFGS-", "MIL-HDBK-", "PS Magazine ", "OSHA "),
    *("Ohio Revised Code ", "vapour pressure of ", "fire-marshal bulletins"),
)
"""How a source may begin: a document by name, or one of the marks. Add a document read for sure."""
MARKS = re.compile(r"\[(V2?|M|C|A)\]")


def unsourced(value, path=()):
    """Yield the path of every number that stands in a table without a source."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            here = (*path, key)
            numbers = inner if isinstance(inner, list) else [inner]
            if any(isinstance(one, int | float) and not isinstance(one, bool) for one in numbers):
                if not str(value.get("source", "")).strip():
                    yield here
            else:
                yield from unsourced(inner, here)
    elif isinstance(value, list):
        for position, inner in enumerate(value):
            yield from unsourced(inner, (*path, position))


def read(name):
    return resources.files("finplan.library").joinpath(name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", FILES)
def test_every_number_has_a_source(name):
    assert list(unsourced(tomllib.loads(read(name)))) == []


@pytest.mark.parametrize("name", FILES)
def test_sources_are_written_out(name):
    assert not MARKS.search(read(name))


def sources(value):
    """Yield every source in the tables."""
    if isinstance(value, Mapping):
        if "source" in value:
            yield value["source"]
        for inner in value.values():
            yield from sources(inner)


@pytest.mark.parametrize("name", FILES)
def test_a_source_is_a_document_or_a_mark(name):
    found = list(sources(tomllib.loads(read(name))))
    assert found
    assert [one for one in found if not one.startswith(VOCABULARY)] == []


def test_the_check_sees_a_number_without_source():
    assert list(unsourced({"oil": {"hours": {"low": 1, "high": 2}}})) == [
        ("oil", "hours", "low"),
        ("oil", "hours", "high"),
    ]
    assert list(unsourced({"cans": [1.0, 2.5]})) == [("cans",)]
    assert list(unsourced({"oil": {"coats": {"value": 2, "source": " "}}})) != []
    assert (
        list(unsourced({"oil": {"coats": {"value": 2, "source": "ASTM"}, "outdoors": True}})) == []
    )


def test_all_files_are_there():
    assert {"finishes.toml", "woods.toml", "grits.toml", "schedules.toml", "cautions.toml"} <= set(
        FILES
    )
