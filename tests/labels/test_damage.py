"""Labels that lie in a shop: what must still read. `tests/bench/label_damage.py` prints the whole table."""

import pytest

from labels.calc.sheet_geometry import MEDIA
from tests.labels.damage import DAMAGES, Printed, bent, blob, none, printed, share_read, with_one_code
from tests.labels.examples import LONG_ADDRESS, SHORT_ADDRESS, offcut_label, roll_label

BLOB_MM2, LEAST_SHARE, TRIALS = 120, 0.98, 18
WITH_TWO_CODES = [medium for medium in MEDIA if medium.label_w >= 60]


@pytest.mark.parametrize("address", [SHORT_ADDRESS, LONG_ADDRESS])
def test_roll_labels_with_a_blob_on_a_code_still_read(address):
    labels = [printed(roll_label(1, address), medium) for medium in WITH_TWO_CODES]
    shares = [share_read(label, blob(BLOB_MM2), TRIALS) for label in labels]
    assert sum(shares) / len(shares) >= LEAST_SHARE, dict(zip((m.name for m in WITH_TWO_CODES), shares, strict=True))


def test_one_code_of_the_same_ink_would_not_survive_the_blob():
    assert share_read(with_one_code(roll_label(), WITH_TWO_CODES[0]), blob(BLOB_MM2), TRIALS) < 0.5


@pytest.mark.parametrize("medium", MEDIA, ids=lambda medium: medium.name)
def test_undamaged_labels_all_read(medium):
    assert share_read(printed(offcut_label(), medium), none, 10) == 1.0


def test_label_along_a_thin_tube_reads():
    label = printed(roll_label(), WITH_TWO_CODES[0])
    assert share_read(label, bent(40, along_the_tube=True), 10) == 1.0


def test_damage_with_the_same_seed_is_the_same_damage():
    label = printed(roll_label(), WITH_TWO_CODES[0])
    first, again = (outcomes(label) for _ in range(2))
    assert first == again


def outcomes(label: Printed) -> list[float]:
    return [share_read(label, DAMAGES["everything at once"], 6), share_read(label, DAMAGES["contrast 8 %"], 6)]


def test_one_code_has_the_ink_of_two():
    two, one = printed(roll_label(), WITH_TWO_CODES[0]), with_one_code(roll_label(), WITH_TWO_CODES[0])
    area = [sum(side**2 for _, _, side in label.codes) for label in (two, one)]
    assert area[1] == pytest.approx(area[0], rel=0.2)
