"""The QR encoder we rely on against the standard's own worked example.

Source: ISO/IEC 18004, Annex I, the symbol "01234567" as version 1-M: data and error correction codewords.
"""

import segno
import segno.encoder
import zxingcpp
from PIL import Image

from app.shared.qr import qr_svg

DATA = "10 20 0C 56 61 80 EC 11 EC 11 EC 11 EC 11 EC 11"
ERROR_CORRECTION = "A5 24 D4 C1 ED 36 C7 87 2C 55"


def test_the_codewords_of_the_standards_example(monkeypatch):
    seen = []
    place = segno.encoder.add_codewords

    def watched(matrix, codewords, version):
        seen.extend(codewords.getbits())
        place(matrix, codewords, version)

    monkeypatch.setattr(segno.encoder, "add_codewords", watched)
    segno.make_qr("01234567", version=1, error="m", boost_error=False)
    bits = "".join(map(str, seen))
    codewords = bytes(int(bits[start : start + 8], 2) for start in range(0, 26 * 8, 8))
    assert codewords.hex(" ").upper() == f"{DATA} {ERROR_CORRECTION}"


def test_a_symbol_has_the_size_and_the_quiet_zone_of_the_standard():
    symbol = segno.make_qr("01234567", version=1, error="m")
    assert symbol.symbol_size(border=0) == (21, 21)  # 17 + 4 x version
    assert symbol.default_border_size == 4


def test_an_independent_decoder_reads_a_link_to_one_of_our_codes():
    link = "http://shop-pc:8080/c/L00417D"
    matrix = segno.make_qr(link, error="m", boost_error=False)
    side = matrix.symbol_size()[0]
    image = Image.new("L", (side, side), 255)
    image.putdata([0 if dark else 255 for row in matrix.matrix_iter() for dark in row])
    [found] = zxingcpp.read_barcodes(image.resize((side * 4, side * 4), Image.Resampling.NEAREST))
    assert found.text == link
    assert qr_svg(link).count("<path") >= 1
