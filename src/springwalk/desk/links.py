"""The addresses of the desk's pages of a field, a recommendation and a pest."""

from __future__ import annotations

from urllib.parse import quote


def field_link(ident: str) -> str:
    """The address of a field's page: ``/field/north``."""
    return f"/field/{quote(ident, safe='')}"


def chain_link(ident: str) -> str:
    """The address of a chain: ``/recommendation/north%3A2016-05-24%3Aab12cd34``."""
    return f"/recommendation/{quote(ident, safe='')}"


def card_link(pest: str) -> str:
    """The address of a pest's card: ``/pest/stink-bug``."""
    return f"/pest/{quote(pest.replace(' ', '-'), safe='')}"
