import numpy as np
import pytest
import qrcode
from PIL import Image

from labels.calc.qr_payload import LongPayloadError
from labels.drawing.qr_matrix import matrix_of, runs_of
from shopstock.calc.stock_code import make_code
from tests.labels.reading import read_codes

SHORT = "HTTPS://STORE.LAN/R/B000008"
LONG = "HTTP://192.168.1.20:8000/R/B000008"


def read(matrix):
    dark = np.pad(np.array(matrix), 4)
    picture = Image.fromarray(np.where(dark, 0, 255).astype("uint8")).resize((dark.shape[1] * 4, dark.shape[0] * 4), 0)
    [code] = read_codes(picture)
    return code


@pytest.mark.parametrize(("text", "side"), [(SHORT, 25), (LONG, 29)])
def test_matrix_has_the_modules_of_its_version_and_reads_back_at_level_q(text, side):
    matrix = matrix_of(text)
    code = read(matrix)
    assert (len(matrix), {len(row) for row in matrix}, code.text, code.ec_level) == (
        side,
        {side},
        text,
        "Q",
    )


def made_by_qrcode_alone(text, version):
    code = qrcode.QRCode(version, error_correction=qrcode.constants.ERROR_CORRECT_Q, border=0)
    code.add_data(text, optimize=0)
    code.make(fit=False)
    return tuple(tuple(map(bool, row)) for row in code.get_matrix())


# Hosts whose texts have an odd and an even number of characters, and those that fill a symbol to its last bit.
@pytest.mark.parametrize(
    ("host", "version"),
    [
        ("HTTPS://STORE.LAN", 2),
        ("HTTPS://STORES3.LAN", 2),
        ("HTTP://192.168.1.20:8000", 3),
        ("HTTPS://STORE-OF-THE-SHOP.EXAMPLE.LAN", 3),
    ],
)
def test_symbol_put_together_from_patterns_is_the_one_that_the_library_makes(host, version):
    texts = [f"{host}/R/{make_code(number)}" for number in range(1, 999_999, 99_999)]
    assert [matrix_of(text) for text in texts] == [made_by_qrcode_alone(text, version) for text in texts]


def test_matrix_of_a_longer_text_is_refused():
    with pytest.raises(LongPayloadError):
        matrix_of("A" * 48)


def test_runs_cover_exactly_the_dark_modules():
    matrix = matrix_of(SHORT)
    drawn = np.zeros((25, 25), dtype=int)
    for row, column, length in runs_of(matrix):
        drawn[row, column : column + length] += 1
    assert np.array_equal(drawn, np.array(matrix, dtype=int))


def test_runs_join_all_neighbours_of_a_row():
    assert runs_of(((True, True, False, True), (False, True, True, True))) == [(0, 0, 2), (0, 3, 1), (1, 1, 3)]
