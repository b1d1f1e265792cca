"""Plies from a file: all or nothing, every mistake named, and what goes out comes back the same."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.layups.ply_file import read_plies
from jobs.models import Part, Ply
from tests.factories import make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply

HEAD = "part,part count,ply,reinforcement,length,width,count,direction,may turn,may seam,overlap"
GOOD = f"{HEAD}\nHull,2,1,Roving 600,4.20 m,70 in,3,90,no,yes,4 in\nHull,2,2,roving 600,4200 mm,1.8 m,,±45,,,\n"


@pytest.fixture
def kind(db):
    return make_reinforcement("Roving 600")


@pytest.fixture
def job(owner):
    return make_job(by=owner)


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def send(page, job, content, *, follow=False, **more):
    data = {"file": SimpleUploadedFile("plies.csv", content if isinstance(content, bytes) else content.encode())}
    return page.post(reverse("plies-import", args=[job.pk]), data | more, follow=follow)


def fields() -> list[tuple]:
    names = ("part__name", "part__count", "number", "length_mm", "width_mm", "count", "direction")
    return list(Ply.objects.order_by("number").values_list(*names, "may_turn", "may_seam", "overlap_mm"))


def test_file_is_read_with_units_and_defaults(page, job, kind):
    send(page, job, GOOD)
    assert fields() == [
        ("Hull", 2, 1, 4_200, 1_778, 3, "90", False, True, 102),
        ("Hull", 2, 2, 4_200, 1_800, 1, "45", True, True, 50),
    ]


@pytest.mark.parametrize(
    "content",
    [
        GOOD.replace(",", ";").encode("utf-8-sig"),
        GOOD.replace(",", "\t").replace("\n", "\r\n").encode(),
        GOOD.encode("latin-1"),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace("part,", "Part ,").encode() + b"\n,,,,\n",
    ],
    ids=["semicolons and BOM", "tabs", "Latin-1", "lines ended by returns", "capitals and an empty line"],
)
def test_file_is_read_however_it_was_saved(page, job, kind, content):
    send(page, job, content)
    assert Ply.objects.count() == 2


def test_lines_can_be_pasted(page, job, kind):
    page.post(reverse("plies-import", args=[job.pk]), {"text": GOOD})
    assert Ply.objects.count() == 2


@pytest.mark.parametrize(
    ("line", "column", "value"),
    [
        (",1,1,Roving 600,1 m,1 m", "part", ""),
        ("Hull,0,1,Roving 600,1 m,1 m", "part count", "0"),
        ("Hull,1,one,Roving 600,1 m,1 m", "ply", "one"),
        ("Hull,1,1,Velvet,1 m,1 m", "reinforcement", "Velvet"),
        ("Hull,1,1,Roving 600,1,1 m", "length", "1"),
        ("Hull,1,1,Roving 600,1 m,", "width", ""),
        ("Hull,1,1,Roving 600,1 m,3 kg", "width", "3 kg"),
        ("Hull,1,1,Roving 600,-1 m,1 m", "length", "-1 m"),
        ("Hull,1,1,Roving 600,9 km,1 m", "length", "9 km"),
        ("Hull,1,1,Roving 600,1 m,1 m,501", "count", "501"),
        ("Hull,1,1,Roving 600,1 m,1 m,1,30", "direction", "30"),
        ("Hull,1,1,Roving 600,1 m,1 m,1,0,perhaps", "may turn", "perhaps"),
        ("Hull,1,1,Roving 600,1 m,1 m,1,0,yes,yes,thick", "overlap", "thick"),
    ],
)
def test_wrong_cell_is_named_by_line_column_and_value(job, kind, line, column, value):
    lines, mistakes = read_plies(f"{HEAD}\n{line}\n".encode(), taken=(), overlap_mm=50)
    assert [(m.line, m.column, m.value, bool(m.what_to_do)) for m in mistakes] == [(2, column, value, True)]
    assert lines == []


def test_one_wrong_line_keeps_the_whole_file_out(page, job, kind):
    response = send(page, job, GOOD + "Hull,2,3,Velvet,1 m,1 m\n")
    assert [(m.line, m.column) for m in response.context["mistakes"]] == [(4, "reinforcement")]
    assert Part.objects.count() == 0


def test_same_file_twice_adds_nothing(page, job, kind):
    send(page, job, GOOD)
    response = send(page, job, GOOD)
    assert [m.column for m in response.context["mistakes"]] == ["ply", "ply"]
    assert Ply.objects.count() == 2


def test_replacing_takes_out_what_the_job_had(page, job, kind):
    make_ply(make_part(job, "Old deck"), kind)
    send(page, job, GOOD, replace="on")
    assert list(Part.objects.values_list("name", flat=True)) == ["Hull"]


def test_two_counts_for_one_part_are_refused(job, kind):
    content = f"{HEAD}\nHull,2,1,Roving 600,1 m,1 m\nHull,3,2,Roving 600,1 m,1 m\n"
    assert [m.column for m in read_plies(content.encode(), taken=(), overlap_mm=50)[1]] == ["part count"]


@pytest.mark.parametrize(
    ("content", "column"),
    [
        ("", "part"),
        ("part,ply,reinforcement,length\n", "width"),
        (f"{HEAD},colour\n", "colour"),
        (f"{HEAD}\n", ""),
        (f"{HEAD},part\n", "part"),
    ],
    ids=["empty", "a heading missing", "a heading unknown", "no plies", "a heading twice"],
)
def test_wrong_headings_are_named(job, kind, content, column):
    assert column in [m.column for m in read_plies(content.encode(), taken=(), overlap_mm=50)[1]]


def test_nothing_sent_says_what_to_do(page, job):
    response = page.post(reverse("plies-import", args=[job.pk]), {"text": " "})
    assert "Choose a file" in response.context["form"].non_field_errors()[0]


def test_what_goes_out_reads_back_the_same(page, job, kind):
    send(page, job, GOOD)
    before = fields()
    content = page.get(reverse("plies-export", args=[job.pk])).content
    send(page, job, content, replace="on")
    assert fields() == before


def test_part_named_like_a_formula_goes_out_harmless_and_comes_back(page, job, kind):
    make_ply(make_part(job, "=SUM(A1)"), kind)
    content = page.get(reverse("plies-export", args=[job.pk])).content
    assert b"'=SUM(A1)" in content
    send(page, job, content, replace="on")
    assert Part.objects.get().name == "=SUM(A1)"


def test_sample_on_the_page_would_be_read(page, job, kind):
    sample = page.get(reverse("plies-import", args=[job.pk])).context["sample"]
    lines, mistakes = read_plies("\n".join(sample).encode(), taken=(), overlap_mm=50)
    assert (len(lines), mistakes) == (2, [])


def test_ply_number_that_stands_twice_in_the_file_is_named(job, kind):
    content = f"{HEAD}\nHull,1,1,Roving 600,1 m,1 m\nHull,1,1,Roving 600,2 m,1 m\n"
    assert [(m.line, m.column) for m in read_plies(content.encode(), taken=(), overlap_mm=50)[1]] == [(3, "ply")]


def test_cell_longer_than_any_table_has_is_refused_in_words(page, job, kind):
    answer = send(page, job, f"{HEAD}\n{'x' * 140_000},1,1,Roving 600,1 m,1 m,1,0,,,\n")
    assert "cannot be split into columns" in answer.content.decode()
    assert fields() == []


def test_one_ply_of_a_file_is_told_as_one(page, job, kind):
    told = send(page, job, f"{HEAD}\nHull,1,1,Roving 600,1 m,1 m,1,0,,,\n", follow=True)
    assert f"1 ply is added to {job}." in told.content.decode()


def test_file_with_more_pieces_than_a_plan_takes_is_refused_whole(page, job, kind):
    text = "part,part count,ply,reinforcement,length,width,count\n" + "".join(
        f"Hull,500,{number},Roving 600,1 m,1 m,{number}\n" for number in (1, 2, 3)
    )
    response = send(page, job, text)
    assert "one cutting plan takes 2,000" in response.content.decode()
    assert not Ply.objects.exists()
