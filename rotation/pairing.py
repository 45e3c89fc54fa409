"""How a phone is let in: with a code that somebody at home reads to it, good for few tries and not for long."""

from __future__ import annotations

import hmac
import secrets
from datetime import datetime, timedelta
from hashlib import sha256
from threading import Lock

from rotation.keys import PAIRING, Keys

DIGITS = 6
TRIES = 5
"""Wrong codes in all, by whomever; after that a new code has to be made. Five guesses find one in 200,000."""
GOOD_FOR = timedelta(minutes=15)
_ONE_TRY = Lock()


def new_code(keys: Keys, now: datetime) -> str:
    """Return a code to pair phones with from now on; the one before is void. Only what it is known by is kept."""
    code = f"{secrets.randbelow(10**DIGITS):0{DIGITS}}"
    keys.write(PAIRING, {"mark": _mark(keys, code), "until": (now + GOOD_FOR).isoformat(), "tries": TRIES})
    return code


def is_open(keys: Keys, now: datetime) -> bool:
    """Say whether there is a code that is still good."""
    held = keys.read(PAIRING)
    try:
        until = datetime.fromisoformat(held["until"])
        return until - GOOD_FOR <= now + timedelta(minutes=1) and now < until and int(held["tries"]) > 0
    except (KeyError, TypeError, ValueError):
        return False


def accepts(keys: Keys, code: str, now: datetime) -> bool:
    """Say whether this is the code, and count a try that was wrong."""
    with _ONE_TRY:
        if not is_open(keys, now):
            return False
        held = keys.read(PAIRING)
        right = hmac.compare_digest(_mark(keys, "".join(code.split())), str(held.get("mark", "")))
        if not right:
            keys.write(PAIRING, {**held, "tries": int(held["tries"]) - 1})
        return right


def _mark(keys: Keys, code: str) -> str:
    return hmac.new(keys.signing(), f"pair {code}".encode(), sha256).hexdigest()
