"""RFC 6902 on plain values, as short as it can be said, and random patches for a table.

Knows no text. `applied` gives None for a patch that can't be done.
"""

import copy
import json

WORDS = ["A-B", "front", "new word", "x", "k.k", "tape", "größe", 'with "quotes"']


def pointer(path):
    return "".join(f"/{str(step).replace('~', '~0').replace('/', '~1')}" for step in path)


def walked(value, path=()):
    """All paths of a value, with what is there."""
    yield path, value
    held = value.items() if isinstance(value, dict) else ()
    held = enumerate(value) if isinstance(value, list) else held
    for step, inner in held:
        yield from walked(inner, (*path, step))


def got(value, path):
    for step in path:
        value = value[step]
    return value


def taken(value, path):
    return got(value, path[:-1]).pop(path[-1])


def put(value, path, new):
    holder = got(value, path[:-1])
    if isinstance(holder, list):
        holder.insert(path[-1], new)
    else:
        holder[path[-1]] = new


def applied(value, operations):
    """What random operations (`random_operation`) make of a value, by their paths."""
    value = copy.deepcopy(value)
    for each in operations:
        kind, path, given = each["op"], each["at"], copy.deepcopy(each.get("value"))
        if kind in {"move", "copy"}:
            source = each["source"]
            given = copy.deepcopy(got(value, source))
            if kind == "move":
                taken(value, source)
        if kind == "replace":
            got(value, path[:-1])[path[-1]] = given
        elif kind == "remove":
            taken(value, path)
        else:
            put(value, path, given)
    return value


def emptied(value):
    """The value without arrays that hold nothing: TOML's headers can't say those of tables."""
    if isinstance(value, dict):
        return {key: emptied(inner) for key, inner in value.items() if inner != []}
    return [emptied(inner) for inner in value] if isinstance(value, list) else value


def random_value(chance, depth=0):
    kinds = [
        lambda: chance.randrange(-50, 5000),
        lambda: chance.choice([0.5, 1e-7, -3.25, 1e22, 12.0]),
        lambda: chance.choice([True, False]),
        lambda: chance.choice(["52 1/4", "", "a\tb\nc", "it's # no comment", 'say "so"', "\\ ü"]),
    ]
    if depth < 2:
        kinds += [
            lambda: [random_value(chance, 2) for _ in range(chance.randrange(4))],
            lambda: {w: random_value(chance, depth + 1) for w in chance.sample(WORDS, 2)},
            lambda: [{w: random_value(chance, 2) for w in WORDS[:2]} for _ in range(2)],
            dict,
        ]
    return chance.choice(kinds)()


def random_operation(chance, value):
    """One operation that can be done on a value, its places as paths too (`at`, `source`)."""
    path, there = chance.choice([place for place in walked(value) if place[0]])
    kind = chance.choice(["replace", "replace", "remove", "add", "add", "move", "copy"])
    found = {"op": kind, "at": path, "path": pointer(path)}
    if kind == "replace":
        found["value"] = changed(chance, there)
    elif kind == "add":
        found["at"] = new_place(chance, value)
        found |= {"path": pointer(found["at"]), "value": random_value(chance)}
    elif kind in {"move", "copy"}:
        rest = copy.deepcopy(value)
        if kind == "move":
            taken(rest, path)
        found["source"], found["from"] = path, pointer(path)
        found["at"] = new_place(chance, rest, path)
        found["path"] = pointer(found["at"])
        if found["at"][: len(path)] == path:  # into itself: RFC 6902, 4.4
            return random_operation(chance, value)
    if is_among_tables(found, value):
        return random_operation(chance, value)
    return found


def is_among_tables(operation, value):
    """Whether it would put what is no table among tables, which TOML's headers can't say."""
    if operation["op"] == "remove":
        return False
    new = operation["value"] if "value" in operation else got(value, operation["source"])
    if operation["op"] == "move":
        value = copy.deepcopy(value)
        taken(value, operation["source"])
    among = got(value, operation["at"][:-1])
    return isinstance(among, list) and isinstance((among or [0])[0], dict) > isinstance(new, dict)


def new_place(chance, value, near=None):
    """A place where nothing is, or before an element; beside `near`, one time of two."""
    holders = [path for path, inner in walked(value) if isinstance(inner, dict | list)]
    path = near[:-1] if near and near[:-1] in holders and chance.random() < 0.5 else None
    path = chance.choice(holders) if path is None else path
    holder = got(value, path)
    if isinstance(holder, list):
        return (*path, chance.randrange(len(holder) + 1))
    return (*path, chance.choice([word for word in [*WORDS, "zz"] if word not in holder]))


def changed(chance, there):
    """Another value, or this one with a few things in it changed."""
    if isinstance(there, dict | list) and there and chance.random() < 0.7:
        value = copy.deepcopy(there)
        for _ in range(chance.randrange(1, 4)):
            inner = [path for path, _ in walked(value) if path]
            if not inner:
                break
            path = chance.choice(inner)
            if chance.random() < 0.4:
                taken(value, path)
            else:
                got(value, path[:-1])[path[-1]] = random_value(chance, 1)
        return value
    return random_value(chance)


def wire(operations):
    """The operations as JSON has them."""
    told = [{k: v for k, v in op.items() if k not in {"at", "source"}} for op in operations]
    return json.loads(json.dumps(told, default=lambda day: {"$toml": str(day)}))
