"""Cut lists: all parts, or an error that names row and column."""

import pytest

from finplan.trade.cutlist import read_cut_list
from finplan.trade.errors import BadInput
from finplan.trade.parts import ALL_FACES, Face, Hole, Part

HEADER = "name,qty,length,width,thickness\n"
SLAT = Part("slat", 10, 1200, 90, 19, "black locust")


@pytest.mark.parametrize(
    "content",
    [
        "Part,Qty,Length,Width,Thickness,Species\nslat,10,1200 mm,90 mm,19 mm,black locust\n",
        "Name;Qty;Length (mm);Width (mm);Thickness [mm];Wood\nslat;10;1200,0;90;19;black locust",
        "\ufeffname\tpieces\tlength m\twidth cm\tthickness mm\tspecies\r\n"
        "slat\t10\t1.2\t9\t19\tblack locust\r\n\r\n",
        "wood,thickness,width,length,count,piece,remarks\n"
        'black locust,"1,9 cm",90 mm,"1,2 m",10,slat,rounded\n',
        "Bench, garden;;;;\n;;;;;\nNo.;Part;Qty;Size;;;Material;Notes\n"
        ";;;Length;Width;Thickness;;\n1;slat;10;1200 mm;90 mm;19 mm;black locust;ease, sand\n",
        "名称,数量,長さ,幅,厚さ,樹種\n,,mm,(mm),mm,\nslat,10,1200,90,19,black locust\n",
        '\n\n"name", "qty","length","width","thickness","wood"\n'
        '"slat", 10, "1200 mm", "90 mm", "19 mm", "black locust"\n',
    ],
)
def test_the_same_parts_however_they_are_written(content):
    assert read_cut_list(content, "cuts.csv") == (SLAT,)
    assert read_cut_list(content.encode(), "cuts.csv") == (SLAT,)
    assert read_cut_list(content.removeprefix("\ufeff").encode("utf-16"), "cuts.csv") == (SLAT,)


def test_inches_and_fractions():
    content = 'name,qty,length,width,thickness\nleg,4,2\'6",3 1/2",3/4"\n'
    (leg,) = read_cut_list(content, "cuts.csv")
    assert (leg.length_mm, leg.width_mm, leg.thickness_mm) == (762, 88.9, 19.05)
    content = 'Part,Qty,Length (in),Width (in),Thickness (in)\n"leg, front",4,30,3 1/2,3/4\n'
    assert read_cut_list(content, "cuts.csv") == (Part("leg, front", 4, 762, 88.9, 19.05, ""),)


def test_holes():
    content = (
        "name;qty;length;width;thickness;hole (mm);holes;countersink (mm);angle;hole depth (mm)\n"
        "slat;2;1 m;90 mm;19 mm;5;4;10;90°;\n"
        "rail;2;1 m;90 mm;19 mm;6;;;;12\n"
        "cap;2;1 m;90 mm;19 mm;;;;;\n"
        "end;2;1 m;90 mm;19 mm;0;0;;;\n"
        "top;2;1 m;90 mm;19 mm;6;0;;;\n"
    )
    holes = [part.holes for part in read_cut_list(content, "cuts.csv")]
    assert holes == [(Hole(5, 4, 10, 90),), (Hole(6, 1, depth_mm=12),), (), (), ()]


def test_faces():
    content = (
        "name;qty;length;width;thickness;faces\n"
        "a;1;1 m;90 mm;19 mm;\n"
        "b;1;1 m;90 mm;19 mm;Top + left edge\n"
        "c;1;1 m;90 mm;19 mm;all but bottom\n"
    )
    faces = [part.faces for part in read_cut_list(content, "cuts.csv")]
    assert faces == [ALL_FACES, {Face.TOP, Face.LEFT_EDGE}, ALL_FACES - {Face.BOTTOM}]


def test_a_default_unit_for_bare_numbers():
    (part,) = read_cut_list(HEADER + "slat,1,1200,90,19\n", "cuts.csv", "mm")
    assert part.length_mm == 1200


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "is empty"),
        (";;", "is empty"),
        ("name\n", "single column"),
        (HEADER, "has a header but no parts"),
        (b"\xff\xfe\x00", "line 1 is not UTF-8"),
        (b"name,qty\n\xe4,1", "line 2 is not UTF-8"),
        ("na\0me,qty", "NUL"),
        ("name,qty,length,width\na,1,1 m,1 m", "row 1: there is no column for thickness"),
        ("name,qty,lenght,width,thickness\na,1,1,1,1", "did you mean 'lenght'"),
        ("name,qty,length,len,width,thickness\n", "row 1: columns 'length' and 'len' both mean"),
        (HEADER + "a,0,1 m,9 mm,9 mm", "row 2, column qty: 0: give 1"),
        (HEADER + "a,-2,1 m,9 mm,9 mm", "row 2, column qty: -2: give 1"),
        (HEADER + "a,1.5,1 m,9 mm,9 mm", "row 2, column qty: '1.5' is no whole number"),
        (HEADER + "a,many,1 m,9 mm,9 mm", "'many' is no whole number"),
        (
            HEADER + "a,1,12,9 mm,9 mm",
            "row 2, column length: length '12' has no unit.*header: length .in.",
        ),
        (HEADER + "a,1,1 m,19 mm,90 mm", "row 2, column thickness: .* columns swapped"),
        (HEADER + "a,1,1 m,,9 mm", "row 2, column width: length is empty"),
        (HEADER + "a,1,1 m", "row 2, column width: length is empty"),
        (HEADER + ",1,1 m,9 mm,9 mm", "row 2, column name: is empty"),
        (HEADER + "a,1,0,5 m,9 mm,9 mm", "row 2: has 6 cells under 5 headers"),
        (HEADER + '"a,1,1 m,9 mm,9 mm\nb,1,1 m,9 mm,9 mm', "close its quote"),
        (HEADER + "a,1,1 m,9 mm,9 mm\nA,1,1 m,9 mm,9 mm", "row 3: part 'A' is in row 2"),
        (HEADER + "a\x1b,1,1 m,9 mm,9 mm", "row 2, column name: letter 2 is the invisible"),
        (HEADER + "a,1,101 m,9 mm,9 mm", "row 2, column length: .* more than 100 m"),
        ("name,qty,length,width,thickness,holes\na,1,1 m,9 mm,9 mm,3", "holes without a diameter"),
        (
            "name,qty,length,width,thickness,faces\na,1,1 m,9 mm,9 mm,botom",
            "row 2, column faces: there is no face 'botom' .did you mean 'bottom'",
        ),
        ("name,qty,length,width,thickness,hole\na,1,1 m,9 mm,9 mm,12 mm", "does not fit 9 mm"),
    ],
)
def test_refused(content, said):
    with pytest.raises(BadInput, match=said) as caught:
        read_cut_list(content, "cuts.csv")
    assert str(caught.value).startswith("cuts.csv")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("piece", "times", "rest", "said"),
    [
        ("x", 2_000_001, "", "larger than 2 MB"),
        ("x", 10_000, ",1,1 m,9 mm,9 mm", "row 2, column name: 10000 letters"),
        ("a,1,1 m,9 mm,9 mm\n", 5001, "", "more than 5000 rows"),
        ('"', 100_001, "", "row"),
    ],
)
def test_too_much(piece, times, rest, said):
    with pytest.raises(BadInput, match=said) as caught:
        read_cut_list(HEADER + piece * times + rest, "cuts.csv")
    assert len(str(caught.value)) < 400


def test_several_faults_are_told_at_once_and_counted():
    rows = "".join(f"p{n},0,1 m,9 mm,9 mm\n" for n in range(5))
    with pytest.raises(BadInput, match=r"row 2.*; row 3.*; row 4.*; and 2 more"):
        read_cut_list(HEADER + rows + "good,1,1 m,9 mm,9 mm\n", "cuts.csv")
