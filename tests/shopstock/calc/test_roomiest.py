from shopstock.calc.roomiest import points_text, roomiest


def test_middle_of_a_square_has_the_most_room():
    assert roomiest([(0, 0), (10, 0), (10, 10), (0, 10)]) == ((5.0, 5.0), 5.0)


def test_place_is_inside_a_hollow_shape():
    place, room = roomiest([(0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)])
    assert place[0] < 20 or place[1] < 20
    assert room > 0


def test_nothing_has_no_place():
    assert roomiest([]) == (None, 0.0)


def test_points_are_written_as_a_polygon_has_them():
    assert points_text([(0, 0), (10.04, 2.5)]) == "0.0,0.0 10.0,2.5"
