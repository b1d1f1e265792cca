"""Plies to pieces: the published cabin top, directions, turns, panels and seams kept apart."""

from collections import Counter

import pytest

from jobs.models import Job
from jobs.pieces import lay_up_of, without
from jobs.queries import with_lay_up
from shopstock.models import Layer, Reinforcement
from tests.factories import make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply

FOOT = 304.8
WIDTH_38_IN = 965


@pytest.fixture
def cloth(db) -> Reinforcement:
    return make_reinforcement(form="cloth", width_mm=WIDTH_38_IN, turning="balanced")


def pieces(job: Job, width_mm: int):
    loaded = with_lay_up(Job.objects.filter(pk=job.pk)).get()
    kinds = {ply.reinforcement_id for part in loaded.parts.all() for ply in part.plies.all()}
    return lay_up_of(loaded, dict.fromkeys(kinds, width_mm))


def sizes(lay_up) -> list[tuple[int, int, int]]:
    return [(piece.across_mm, piece.along_mm, piece.count) for piece in lay_up.pieces]


def cabin_top(owner, cloth, overlap_mm: int) -> Job:
    job = make_job(by=owner)
    part = make_part(job, "Cabin top")
    make_ply(part, cloth, length_mm=3048, width_mm=2743, overlap_mm=overlap_mm, may_turn=False)
    return job


def test_cabin_top_of_9_by_10_ft_from_38_in_cloth_is_three_pieces_of_10_ft(owner, cloth):
    lay_up = pieces(cabin_top(owner, cloth, 0), WIDTH_38_IN)
    assert sizes(lay_up) == [(965, 3048, 1), (965, 3048, 1), (813, 3048, 1)]


def test_cabin_top_with_a_4_in_lap_is_four_pieces_of_10_ft(owner, cloth):
    lay_up = pieces(cabin_top(owner, cloth, 102), WIDTH_38_IN)
    assert [(piece.name, piece.along_mm) for piece in lay_up.pieces] == [
        ("Cabin top 1a", 3048),
        ("Cabin top 1b", 3048),
        ("Cabin top 1c", 3048),
        ("Cabin top 1d", 3048),
    ]
    assert sum(piece.across_mm for piece in lay_up.pieces) == 2743 + 3 * 102


def test_ply_wider_than_the_roll_without_a_seam_is_refused_with_the_reason(owner, cloth):
    job = make_job(by=owner)
    make_ply(make_part(job, count=2), cloth, width_mm=1_500, length_mm=3_000, may_seam=False, may_turn=False)
    refusal = pieces(job, WIDTH_38_IN).refusals[0]
    assert (refusal.name, refusal.pieces) == ("Hull 1", 2)
    assert "1500 mm wide" in refusal.reason


def test_balanced_cloth_that_may_turn_goes_the_way_that_needs_no_seam(owner, cloth):
    job = make_job(by=owner)
    make_ply(make_part(job), cloth, length_mm=2_000, width_mm=900, direction="90", may_turn=True)
    assert sizes(pieces(job, WIDTH_38_IN)) == [(900, 2000, 1)]


def test_ply_at_90_that_may_not_be_turned_lies_across_the_roll_in_panels(owner, cloth):
    job = make_job(by=owner)
    make_ply(make_part(job), cloth, length_mm=1_500, width_mm=900, direction="90", may_turn=False)
    lay_up = pieces(job, WIDTH_38_IN)
    assert sizes(lay_up) == [(965, 900, 1), (585, 900, 1)]
    assert {piece.turns for piece in lay_up.pieces} == {(0,)}


def test_unidirectional_is_never_turned_whatever_the_ply_says(owner, db):
    tape = make_reinforcement(form="unidirectional", turning="never", width_mm=600)
    job = make_job(by=owner)
    make_ply(make_part(job), tape, length_mm=500, width_mm=400, may_turn=True)
    assert [piece.turns for piece in pieces(job, 600).pieces] == [(0,)]


def test_ply_at_45_of_plain_cloth_is_a_bias_square(owner, cloth):
    job = make_job(by=owner)
    make_ply(make_part(job), cloth, length_mm=1_000, width_mm=300, direction="45")
    assert sizes(pieces(job, WIDTH_38_IN)) == [(920, 920, 1)]


def test_plies_at_45_wider_than_the_cloth_are_pieced_and_their_seams_left_to_the_cutter(owner, cloth):
    job = make_job(by=owner)
    part = make_part(job)
    for _ in range(2):
        make_ply(part, cloth, direction="45", length_mm=1_500, width_mm=1_500, overlap_mm=50)
    lay_up = pieces(job, 1_250)
    assert sizes(lay_up) == [(1250, 2122, 1), (922, 1843, 1)] * 2
    told = [note for _, note in lay_up.notes if "not kept apart" in note]
    assert told == ["Hull 2: seams of plies cut at 45° are not kept apart: lay them 100 mm clear by hand"]


def test_ply_at_45_of_a_stitched_45_fabric_comes_straight_off_the_roll(owner, db):
    fabric = make_reinforcement(form="stitched", weave="none")
    for layer, angle in zip(Layer.objects.filter(reinforcement=fabric), (45, -45), strict=True):
        Layer.objects.filter(pk=layer.pk).update(angle_deg=angle)
    job = make_job(by=owner)
    make_ply(make_part(job), fabric, length_mm=1_000, width_mm=300, direction="45")
    assert sizes(pieces(job, 1_250)) == [(300, 1000, 1)]


def test_seams_of_neighbouring_plies_are_kept_100_mm_apart(owner, cloth):
    job = make_job(by=owner)
    part = make_part(job)
    for _ in range(2):
        make_ply(part, cloth, length_mm=3_000, width_mm=1_500, may_turn=False)
    lay_up = pieces(job, WIDTH_38_IN)
    first, second = (lay_up.pieces[0].across_mm, lay_up.pieces[2].across_mm)
    assert abs(first - second) >= 100
    assert any("clear of the ply below" in note for _, note in lay_up.notes)


def test_counts_multiply_over_parts_and_plies(owner, cloth):
    job = make_job(by=owner)
    make_ply(make_part(job, count=3), cloth, length_mm=1_000, width_mm=500, count=4)
    assert sizes(pieces(job, WIDTH_38_IN)) == [(500, 1000, 12)]


def test_pieces_already_there_are_taken_off_by_ply_and_size_however_they_lay(owner, cloth):
    job = make_job(by=owner)
    ply = make_ply(make_part(job), cloth, length_mm=800, width_mm=500, count=3)
    left = without(pieces(job, WIDTH_38_IN).pieces, Counter({(ply.pk, (500, 800)): 2}))
    assert [piece.count for piece in left] == [1]


def test_mat_that_the_catalogue_says_is_never_turned_is_not_turned(owner, db):
    mat = make_reinforcement(form="mat", weave="none", turning="never")
    job = make_job(by=owner)
    make_ply(make_part(job), mat, length_mm=800, width_mm=500, direction="any")
    assert [piece.turns for piece in pieces(job, 1_250).pieces] == [(0,)]


def seams_of(lay_up, overlap_mm: int) -> list[tuple[int, ...]]:
    """Where the seams of each ply lie, worked out here from the panel widths."""
    plies: dict[int, list[int]] = {}
    for piece in lay_up.pieces:
        plies.setdefault(piece.ply_id, []).append(piece.across_mm)
    found = []
    for widths in plies.values():
        edges = [sum(widths[: n + 1]) - n * overlap_mm for n in range(len(widths) - 1)]
        found.append(tuple(edge - overlap_mm / 2 for edge in edges))
    return found


@pytest.mark.parametrize("width_mm", [1_500, 1_880, 2_795, 3_600])
def test_seams_of_every_two_neighbouring_plies_stay_100_mm_apart(owner, cloth, width_mm):
    job = make_job(by=owner)
    part = make_part(job)
    for _ in range(5):
        make_ply(part, cloth, length_mm=4_000, width_mm=width_mm, may_turn=False)
    lay_up = pieces(job, WIDTH_38_IN)
    seams = seams_of(lay_up, 50)
    for one, other in zip(seams, seams[1:], strict=False):
        assert min(abs(a - b) for a in one for b in other) >= 100
    for ply in part.plies.all():
        widths = [piece.across_mm for piece in lay_up.pieces if piece.ply_id == ply.pk]
        assert sum(widths) - 50 * (len(widths) - 1) == width_mm
        assert max(widths) <= WIDTH_38_IN


def test_ply_that_fills_its_panels_gets_one_more_rather_than_seams_over_seams(owner, cloth):
    job = make_job(by=owner)
    part = make_part(job)
    for _ in range(2):  # 1880 = 2 × 965 − 50: no panel can give way
        make_ply(part, cloth, length_mm=4_000, width_mm=1_880, may_turn=False)
    lay_up = pieces(job, WIDTH_38_IN)
    assert [len([p for p in lay_up.pieces if p.ply_id == ply.pk]) for ply in part.plies.all()] == [2, 3]
    assert any("with one panel more" in note for _, note in lay_up.notes)


def test_panels_laid_from_the_other_side_cost_no_cloth(owner, cloth):
    job = make_job(by=owner)
    part = make_part(job)
    for _ in range(2):
        make_ply(part, cloth, length_mm=4_000, width_mm=1_500, may_turn=False)
    sizes_of = [
        [p.across_mm for p in pieces(job, WIDTH_38_IN).pieces if p.ply_id == ply.pk] for ply in part.plies.all()
    ]
    assert sizes_of == [[965, 585], [585, 965]]
