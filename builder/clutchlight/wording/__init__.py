"""English, once: numbers, plurals, lists, dates, and the sentences made of them."""
