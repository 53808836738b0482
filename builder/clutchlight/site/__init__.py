"""The public site: from records and statements to finished pages, and from pages to a published folder."""
