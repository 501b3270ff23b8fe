"""QR codes as SVG."""

import io

import pytest
import segno
import zxingcpp
from PIL import Image

from app.shared.qr import qr_svg


def test_the_symbol_is_read_back_by_another_decoder():
    """The same symbol as pixels, read by zxing-cpp."""
    pixels = io.BytesIO()
    segno.make_qr("B314159Z", error="m", boost_error=False).save(pixels, kind="png", scale=4)
    assert [each.text for each in zxingcpp.read_barcodes(Image.open(pixels))] == ["B314159Z"]
    modules = segno.make_qr("B314159Z", error="m", boost_error=False).symbol_size()[0]
    assert f'width="{modules * 0.5:g}mm"' in qr_svg("B314159Z")


def test_modules_are_half_a_millimetre_unless_asked_otherwise_and_nothing_asks_for_crisp_edges():
    assert 'width="14.5mm"' in qr_svg("B314159Z")  # 21 modules and a quiet zone of 4 on each side (ISO/IEC 18004)
    assert 'width="29mm"' in qr_svg("B314159Z", 1)
    assert "crispEdges" not in qr_svg("B314159Z")
    assert "style=" not in qr_svg("B314159Z")


def test_text_is_escaped():
    assert "<b>" not in qr_svg("<b>&")


def test_an_empty_text_is_refused():
    with pytest.raises(ValueError, match="at least one character"):
        qr_svg("")
