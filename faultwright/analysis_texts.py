"""Every text that a person reads about routes and truth tables, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

TEXTS: Mapping[str, str] = {
    # Routes
    "routes.name.feed": "feed of {at}",
    "routes.name.return": "return of {at}",
    "routes.name.stop": "stop of {load}",
    "routes.name.between": "{at} to {other}",
    "routes.feed": "{at} of {load} is fed by {count}",
    "routes.return": "{at} of {load} is returned by {count}",
    "routes.stop": "{load} is stopped by {count}",
    "routes.between": "{at} and {other} are joined by {count}",
    "routes.none": "no route",
    "routes.one": "one route",
    "routes.many": "{count} routes",
    "routes.more": "more than {count} routes; the first {count} are listed",
    "routes.tried": "{count} routes and perhaps more: there are too many ways to try them all",
    "routes.series": "in every route, so all are needed: {contacts}",
    "routes.parallel": "side by side, so any is enough: {groups}",
    "routes.when": "together: {condition}",
    "routes.no_contact": "the wires alone",
    "route": "{start} → {places} → {end}: {needs}",
    "route.direct": "{start} and {end} are one joint: {needs}",
    # Truth tables
    "permission.plain": "{about}: {permitted}",
    "permission.history": "{about}: permitted {permitted}; whatever was done before, {certain}",
    "permission.given": "with {given}: {found}",
    "permission.when": "when {condition}",
    "permission.always": "always",
    "permission.never": "never",
    "refuted.not": "with {state} the statement says that it is so ({about}), and on the machine it is not",
    "refuted.so": "with {state} the statement says that it is not so ({about}), and on the machine it is",
    "refuted.can": "with {state} the statement says that it is not so ({about}), and on the machine it can be, after "
    "what was done before",
}


def text(key: str, **values: object) -> str:
    """Return a text with its values put in."""
    return TEXTS[key].format(**values)
