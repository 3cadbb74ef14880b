"""How much of a spray stays on small pieces, against a tester's article.

Source: http://www.paintcenter.org/rj/apr09c.php (60 to 70 % is good on large surfaces, 20 to 50 % on small ones). The
40 % used here for chairs and spindles lies within it and is common practice, no source.
"""

from fractions import Fraction

from app.recipes.rules import Way, transfer_of


def test_the_ranges_of_the_article_hold_what_is_used() -> None:
    small, large = transfer_of(Way.SPRAY, is_small=True), transfer_of(Way.SPRAY)
    assert (small.low, small.high) == (Fraction(20, 100), Fraction(50, 100))
    assert small.usual == Fraction(40, 100)
    assert Fraction(60, 100) <= large.usual <= large.high == Fraction(70, 100)
