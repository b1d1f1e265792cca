import pytest

from shopstock.calc.directional_fibre import RANDOM, FibreLayer
from shopstock.calc.fabric_character import DRAPE_WORDS, FIBRE_CHARACTER, WEAVE_WORDS, direction_words, usual_drape
from shopstock.calc.forms import FIBRES, FORMS, WEAVES


def test_every_fibre_and_weave_of_the_catalogue_has_its_words():
    assert set(FIBRE_CHARACTER) == set(FIBRES)
    assert set(WEAVE_WORDS) == set(WEAVES)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("weave", WEAVES)
def test_every_form_has_a_drape_with_words(form, weave):
    assert usual_drape(form, weave, 600) in DRAPE_WORDS


def test_drape_falls_from_mat_over_twill_plain_and_roving_to_unidirectional():
    fabrics = [
        ("mat", "none"),
        ("cloth", "twill"),
        ("cloth", "plain"),
        ("woven_roving", "plain"),
        ("unidirectional", "none"),
    ]
    ratings = [usual_drape(form, weave, 600) for form, weave in fabrics]
    assert ratings == [5, 4, 3, 2, 1]


@pytest.mark.parametrize(
    ("layers", "says"),
    [
        ([(450, RANDOM)], "three eighths"),
        ([(600, 0)], "next to nothing across"),
        ([(300, 0), (300, 90)], "50 % along the roll, 50 % across it. It carries along and across; a pull at 45°"),
        ([(300, 45), (300, -45)], "50 % at +45°, 50 % at −45°. It carries at ±45° and in shear"),
        ([(300, 0), (100, RANDOM)], "75 % along the roll, 25 % every way. See the drawing"),
        ([], "not given"),
    ],
)
def test_directions_are_said_in_a_sentence(layers, says):
    assert says in direction_words([FibreLayer(*layer) for layer in layers])
