"""Numbered changes of the tables; run by `coldsoak.shop.migrate`, never edited once released."""
