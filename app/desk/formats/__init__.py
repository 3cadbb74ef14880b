"""Files the desk hands out: printed tags, and the pack a listing is made from."""
