"""Files are written whole or not at all."""

import pytest

from finplan.services.reading import write_whole
from finplan.trade.errors import BadInput


def test_a_file_is_written_once_and_left_alone_while_it_holds_the_same(tmp_path):
    path = tmp_path / "plan.svg"
    assert write_whole(path, b"one")
    assert not write_whole(path, b"one")
    assert write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_stays_a_link(tmp_path):
    target, link = tmp_path / "kept.ics", tmp_path / "shown.ics"
    target.write_bytes(b"one")
    link.symlink_to(target)
    assert write_whole(link, b"two")
    assert link.is_symlink() and target.read_bytes() == b"two"


def test_where_nothing_can_be_written_one_sentence_says_so(tmp_path):
    with pytest.raises(BadInput, match=r"it cannot be written .*: give another place"):
        write_whole(tmp_path / "none" / "plan.svg", b"one")
    with pytest.raises(BadInput, match="this is a folder"):
        write_whole(tmp_path, b"one")
    assert list(tmp_path.iterdir()) == []
