"""Jobs served one after the other: worked by hand."""

import datetime

from jobs.calc.cutting import Blank
from jobs.calc.serving import ALL_THERE, COMING, NEW, Cloth, JobOfDay, ServedJob, serve

DAY = datetime.date(2026, 3, 2)


def day(number: int) -> datetime.date:
    return DAY + datetime.timedelta(days=number)


def job(key, on, along_mm, count=1, across_mm=1_000):
    return JobOfDay(key, on, (Blank(f"b{key}", across_mm, along_mm, count),))


def test_second_job_takes_what_the_first_left_and_is_short_of_the_rest():
    roll = Cloth(1_000, 10_000, ALL_THERE)
    assert serve([job(1, day(1), 6_000), job(2, day(2), 5_000), job(3, day(3), 4_000)], [roll]) == [
        ServedJob(1, 6_000, 0, 0, 0, ()),
        ServedJob(2, 0, 0, 0, 0, (("b2", 1),)),
        ServedJob(3, 4_000, 0, 0, 0, ()),
    ]


def test_cloth_on_its_way_serves_only_jobs_from_its_day_on():
    coming = Cloth(1_000, 50_000, day(5), COMING)
    before, on_the_day = serve([job(1, day(4), 2_000), job(2, day(5), 2_000)], [coming])
    assert (before.missing, on_the_day.coming_mm) == ((("b1", 1),), 2_000)


def test_cloth_that_ends_serves_only_jobs_up_to_its_last_day():
    ending = Cloth(1_000, 50_000, ALL_THERE, ends_on=day(4))
    on_its_last_day, after = serve([job(1, day(4), 2_000), job(2, day(5), 2_000)], [ending])
    assert (on_its_last_day.here_mm, after.missing) == (2_000, (("b2", 1),))


def test_what_is_on_the_racks_goes_before_what_is_coming():
    cloth = [Cloth(1_000, 50_000, day(0), COMING), Cloth(1_000, 2_000, ALL_THERE)]
    assert serve([job(1, day(4), 2_000)], cloth) == [ServedJob(1, 2_000, 0, 0, 0, ())]


def test_many_short_ends_are_all_looked_at_when_a_few_do_not_do():
    ends = [Cloth(1_000, 1_000, ALL_THERE)] * 60
    (row,) = serve([job(1, day(1), 1_000, count=60)], ends)
    assert (row.length_mm, row.missing) == (60_000, ())


def test_two_ends_of_six_metres_give_no_piece_of_ten():
    assert serve([job(1, day(1), 10_000)], [Cloth(1_000, 6_000, ALL_THERE)] * 2)[0].missing == (("b1", 1),)


def test_allowance_is_added_to_each_side_of_a_blank():
    roll = Cloth(1_000, 10_000, ALL_THERE)
    assert serve([job(1, day(1), 6_000, across_mm=990)], [roll], allowance_mm=10)[0].length_mm == 6_010
    assert serve([job(1, day(1), 6_000, across_mm=991)], [roll], allowance_mm=10)[0].missing == (("b1", 1),)


def test_new_rolls_are_begun_only_when_the_rest_does_not_do_and_counted_once():
    cloth = [Cloth(1_000, 3_000, ALL_THERE), *[Cloth(1_000, 10_000, ALL_THERE, NEW)] * 3]
    rows = serve([job(1, day(1), 3_000), job(2, day(2), 6_000), job(3, day(3), 4_000), job(4, day(4), 4_000)], cloth)
    assert [(row.here_mm, row.new_mm, row.new_rolls) for row in rows] == [
        (3_000, 0, 0), (0, 6_000, 1), (0, 4_000, 0), (0, 4_000, 1),
    ]  # fmt: skip


def test_roll_that_is_begun_is_cut_up_before_the_next_of_many_new_ones_is():
    # six pieces of 8 m come out of each roll of 50 m
    rows = serve([job(n, day(n), 8_000) for n in range(13)], [Cloth(1_000, 50_000, ALL_THERE, NEW)] * 40)
    assert [row.key for row in rows if row.new_rolls] == [0, 6, 12]
