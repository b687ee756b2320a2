"""Calls functions of `reference` and prints what they return, as JSON; CPython and MicroPython.

    python call.py CALLS FOLDER         CALLS: JSON, [[module, function, arguments], …]

Bytes are written as {"hex": "…"}, on the way in and on the way out; a bytearray to fill as {"room": 512}, and what it
then holds comes back behind the function's value.
"""

import json
import sys

sys.path.insert(0, sys.argv[2])


def taken_in(value):
    if isinstance(value, dict):
        return bytearray(value["room"]) if "room" in value else bytes.fromhex(value["hex"])
    return tuple(value) if isinstance(value, list) else value


def given_out(value):
    return {"hex": value.hex()} if isinstance(value, (bytes, bytearray)) else value


def call(module, function, arguments):
    values = [taken_in(value) for value in arguments]
    result = getattr(getattr(__import__("reference." + module), module), function)(*values)
    rooms = [given_out(value) for value in values if isinstance(value, bytearray)]
    return [given_out(result)] + rooms if rooms else given_out(result)


with open(sys.argv[1]) as file:
    sys.stdout.write(json.dumps([call(*one) for one in json.load(file)]))
