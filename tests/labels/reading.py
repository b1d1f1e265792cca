"""Finds and reads QR codes in a picture with a decoder that shares nothing with the drawing code."""

import zxingcpp


def read_codes(picture):
    """Full-size QR codes only: a damaged one can pass for a Micro QR code with another text."""
    return zxingcpp.read_barcodes(picture.convert("L"), formats=zxingcpp.BarcodeFormat.QRCodeModel2)


def texts(picture):
    return sorted(code.text for code in read_codes(picture))


def corners(code):
    position = code.position
    points = (position.top_left, position.top_right, position.bottom_right, position.bottom_left)
    return [(point.x, point.y) for point in points]


def centre(code):
    points = corners(code)
    return sum(x for x, _ in points) / 4, sum(y for _, y in points) / 4
