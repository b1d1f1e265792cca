from jobs.templatetags.amounts import area_in, mass_of, money_text


def test_areas_are_shown_in_the_units_of_the_shop():
    assert (area_in(2.5, "metric"), area_in(2.5, "us"), area_in(None, "us")) == ("2.50 m²", "26.9 ft²", "")


def test_worked_out_masses_are_not_finer_than_a_scale():
    assert (mass_of(33_229.4, "metric"), mass_of(33_229.4, "us")) == ("33.23 kg", "73.26 lb")


def test_money_carries_its_currency_and_nothing_is_shown_for_no_price():
    assert (money_text("1234.5", "EUR"), money_text(None, "EUR")) == ("1,234.50 EUR", "")
