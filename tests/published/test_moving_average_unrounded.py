"""Why the average is never rounded, against a published lesson.

Source: https://www.instantcertcredit.com/courses/5/lesson/318 (500 units for 1,200; 300 drawn; 100 bought at 3.50;
250 drawn). The lesson prints an average of 2.77 and a draw of 692.50, which leaves 138.50: it rounds the average to
cents. Exact are 2.7667, 691.67 and 138.33, and these are checked here; the first draw, 720, agrees.
"""

from fractions import Fraction

from app.shelf.rules import MovingAverage


def test_the_exact_average_gives_the_exact_draw() -> None:
    shelf = MovingAverage()
    shelf.buy(500, 1_200_00)
    assert shelf.last_average == 2_40
    assert shelf.use(300) == 720_00
    shelf.buy(100, 350_00)
    assert shelf.last_average == Fraction(830_00, 300)
    draw = shelf.use(250)
    assert draw == 691_67
    assert shelf.value == 138_33
    assert draw != 250 * 2_77 == 692_50
    assert 720_00 + draw + shelf.value == 1_200_00 + 350_00
