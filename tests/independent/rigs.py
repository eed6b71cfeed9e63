"""Random rigs, each as a plan (RON text) and as plain numbers for solver.c.

All gear is the plan's own, with stated stretch, masses and expansion, so that nothing depends on a catalogue.
"""
import math
import random

HARD = 0  # the first law: hardware, as good as rigid
HARDNESS = 5e7  # N: the force that would double its length


class Rig:
    """One rig: filled by the functions below, written by `plan` and `numbers`."""

    def __init__(self, seed):
        self.rng = random.Random(seed)
        self.title = f"random rig {seed}"
        self.items, self.laws = {}, [[(0.0, 0.0), (HARDNESS, 1.0)]]
        self.points, self.runs, self.legs, self.order = {}, {}, [], []


def kn(value):
    return f'"{value / 1000:.6g} kN"'


def metres(value):
    return f'"{value:.5f} m"'


def triple(at):
    return "(" + ", ".join(metres(v) for v in at) + ")"


def soft_item(rig, name, kind, fibre, strength, curve, per_metre, alpha, **more):
    """An item that stretches: `curve` is [(tension N, stretch)]."""
    curve = [(round(t, 1), round(e, 6)) for t, e in curve]
    rig.laws.append([(0.0, 0.0)] + curve)
    stretch = ", ".join(f'({kn(t)}, "{e * 100:.4f} %")' for t, e in curve)
    extra = "".join(f", {k}: {v}" for k, v in more.items())
    rig.items[name] = dict(law=len(rig.laws) - 1, per_metre=round(per_metre, 6), alpha=alpha, text=(
        f'Item(class: {kind}, fibre: {fibre}, rating: Label({kn(strength)}), mass_per_length: "{per_metre * 1000:.3f} g/m", '
        f"stretch: [{stretch}], alpha_per_k: {alpha:.3e}{extra})"))


def hard_item(rig, name, kind, length, mass, more=""):
    rig.items[name] = dict(law=HARD, length=length, mass=mass, alpha=0.0, text=(
        f'Item(class: {kind}, fibre: Steel, rating: Label("60 kN"), length: {metres(length)}, mass: "{mass:.4f} kg", '
        f"stretch: Stiffness(\"50000 kN\"), alpha_per_k: 0.0{more})"))


def curve(rng, strength, at_break):
    """Stretch points of a random law, stiffer or softer on the way."""
    points, t, e = [], 0.0, 0.0
    for share in [0.06, 0.15, 0.4, 1.0][-rng.randint(1, 4):]:
        slope = at_break / strength * rng.uniform(0.5, 1.8)
        e += (share * strength - t) * slope
        t = share * strength
        points.append((t, e))
    return points


def gear(rig):
    rng = rig.rng
    for name, kind, length, mass, more in [
        ("shackle", "Shackle", 0.064, 0.74, ', pin: "19 mm", stock: "16 mm", opening: "27 mm"'),
        ("link", "QuickLink", 0.078, 0.27, ', stock: "12 mm", opening: "14 mm"'),
        ("lock", "Lock", 0.14, 0.45, ', width: "26 mm", stock: "12 mm"'),
        ("ring", "Ring", 0.1, rng.choice([0.6, 1.5, 3.0]), ', diameter: "16 mm", stock: "16 mm", opening: "100 mm"'),
    ]:
        hard_item(rig, name, kind, length, mass, more)
    rig.items["bolt"] = dict(text='Item(class: Bolt, fibre: Steel, radial: Label("40 kN"), axial: Label("30 kN"), stock: "12 mm", length: "0.03 m", mass: "0.15 kg")')
    webbings = [("Nylon", 24e3, 0.28, 0.065, -1e-4, 25), ("Nylon", 27e3, 0.22, 0.072, 8e-5, 25), ("Polyester", 30e3, 0.12, 0.055, 6e-5, 25),
                ("Polyester", 40e3, 0.13, 0.08, 6e-5, 25), ("Hmpe", 32e3, 0.03, 0.028, -1.2e-5, 20), ("Hybrid", 35e3, 0.07, 0.048, 2e-5, 25)]
    for name in ("web", "spare"):
        fibre, strength, stretch, per_metre, alpha, rig_width = rng.choice(webbings)
        soft_item(rig, name, "Webbing", fibre, strength, curve(rng, strength, stretch), per_metre * rng.uniform(0.8, 1.2), alpha,
                  width=f'"{rig_width} mm"', thickness='"3 mm"')
        rig.items[name]["width"] = rig_width / 1000
    d = rng.choice([6, 8, 10])
    soft_item(rig, "rope", "HollowBraid", "Hmpe", 950.0 * d * d, curve(rng, 950.0 * d * d, 0.036), 0.00063 * d * d, -1.2e-5, diameter=f'"{d} mm"')
    soft_item(rig, "static", "Rope", "Nylon", 22e3, curve(rng, 22e3, 0.25), 0.077, 1e-4, diameter='"11 mm"')
    soft_item(rig, "sling", "RoundSling", "Polyester", 137e3, curve(rng, 137e3, 0.09), 0.5, 6e-5, width='"40 mm"', thickness='"13 mm"')


def anchor_point(rig, name, side, at, tree_too):
    rng = rig.rng
    kind = rng.random()
    if kind < 0.25 and tree_too:
        diameter = round(rng.uniform(0.3, 0.7), 3)
        by = f'Tree(diameter: {metres(diameter)}, slung_at: "0.4 m", rating: Judged("60 kN", "sound"))'
    elif kind < 0.75:
        diameter, by = 0.0, 'Bolt(item: "bolt", faces: (0.0, 0.0, 1.0))'
    else:
        diameter, by = 0.0, 'Strength(Label("60 kN"))'
    gives = round(rng.uniform(1, 20), 2) if rng.random() < 0.2 else 0.0  # kN/mm
    rig.points[name] = dict(side=side, at=at, fixed=True, by=by, tree=diameter, gives=gives)


def free_point(rig, name, side, near, hardware=None, weighs=False, friction=None):
    rig.points[name] = dict(side=side, at=near, fixed=False, hardware=hardware, weighs=weighs, friction=friction)


def basket(around, length):
    """Trunk's centre to the point, and strands that carry, for a sling laid around a trunk."""
    radius = around / 2
    lo, hi = radius * 1.0001, length
    for _ in range(200):
        d = (lo + hi) / 2
        alpha = 2 * math.asin(radius / d)
        if 2 * math.sqrt(d * d - radius * radius) + radius * (math.pi + alpha) < length:
            lo = d
        else:
            hi = d
    return d, 2 * math.cos(math.asin(radius / d))


def leg(rig, name, path, soft=None):
    """A leg: a link or a sling around a tree, then one soft part that fits or is a little off."""
    rng = rig.rng
    at = [rig.points[p]["at"] for p in path]
    way = sum(math.dist(a, b) for a, b in zip(at, at[1:]))
    parts, texts, used = [], [], 0.0
    around = rig.points[path[0]].get("tree", 0.0)
    if around:
        length = round(math.pi * around / 2 + rng.uniform(0.8, 1.6) + around, 3)
        d, strands = basket(around, length)
        law = [(t * strands, e * length / (strands * d)) for t, e in rig.laws[rig.items["sling"]["law"]]]
        rig.laws.append(law)
        parts.append((len(rig.laws) - 1, d, rig.items["sling"]["alpha"] * length / (strands * d)))
        texts.append(f'Part(item: "sling", length: {metres(length)}, tolerance: "TOLERANCE", hitch: Basket)')
        texts.append('Part(item: "shackle")')
        parts.append((HARD, 0.064, 0.0))
        used = d + 0.064
    elif rng.random() < 0.6:
        texts.append('Part(item: "link")')
        parts.append((HARD, 0.078, 0.0))
        used = 0.078
    soft = soft or rng.choice(["rope", "rope", "sling", "static"])
    ends = ", ends: (Spliced(), Spliced())" if soft == "rope" else ""
    # the one part of a leg that may be off: the last, or the sling around a tree
    tolerance, off_part, gain = rng.choice([10, 20, 30]), len(parts), 1.0
    fits = rng.random() < 0.4
    if around:
        texts[0] = texts[0].replace("TOLERANCE", "0.001 mm" if fits else f"{tolerance} mm")
        if not fits:
            off_part, gain = 0, 1 / strands
    if fits:
        length = way - used
        texts.append(f'Part(item: "{soft}", length: Fit(tolerance: "{tolerance} mm"){ends})')
    else:
        length = round(way - used + rng.uniform(-0.03, 0.05), 4)
        texts.append(f'Part(item: "{soft}", length: {metres(length)}, tolerance: "{0.001 if around else tolerance} mm"{ends})')
    gives = sum(1e-6 / rig.points[p]["gives"] for p in (path[0], path[-1]) if rig.points[p].get("gives"))
    if gives:
        # an anchor that gives moves towards the pull: a spring at the end of its only leg, here a millimetre long
        rig.laws.append([(0.0, 0.0), (1e4, 1e4 * gives / 0.001)])
        parts.append((len(rig.laws) - 1, 0.001, 0.0))
        length -= 0.001
        off_part += off_part > 0 or not around
    parts.append((rig.items[soft]["law"], length, rig.items[soft]["alpha"]))
    rig.runs[name] = dict(role="", path=path, texts=texts)
    rig.legs.append(dict(name=name, path=path, parts=parts, tolerance=tolerance / 1000, off=(off_part, gain), to=[p for p in path if not rig.points[p]["fixed"]][-1]))


def anchor(rig, side, master, backup_master):
    """The points and legs of one side."""
    rng = rig.rng
    out = -1 if side == "A" else 1
    base = (0.0, 0.0, 0.0) if side == "A" else (rig.span, 0.0, rig.rise)

    def off(back, y, z):
        return (round(base[0] + out * back, 4), round(y, 4), round(base[2] + z, 4))

    def spot(i, n, reach):
        return off(reach + rng.uniform(-0.4, 0.4), (i - (n - 1) / 2) * rng.uniform(0.5, 1.1) + rng.uniform(-0.1, 0.1), rng.uniform(-0.2, 0.6))

    free_point(rig, master, side, off(0, 0, 0), "ring", weighs=True)
    style = rng.choice(["fan", "fan", "fan", "tiers", "slide"])
    reach = rng.uniform(1.5, 5.0) + 1.2
    if style == "fan":
        n = rng.randint(1, 4)
        for i in range(n):
            anchor_point(rig, f"{side} anchor {i + 1}", side, spot(i, n, reach), reach > 3.5)
            leg(rig, f"{side} leg {i + 1}", [f"{side} anchor {i + 1}", master])
    elif style == "tiers":
        for half, y in (("left", 0.45), ("right", -0.45)):
            free_point(rig, f"{side} {half}", side, off(reach * 0.4, y, rng.uniform(0, 0.2)), "shackle")
            for i in range(2):
                name = f"{side} {half} {i + 1}"
                anchor_point(rig, f"{name} anchor", side, off(reach + rng.uniform(0, 0.4), y * rng.uniform(1.8, 2.6) if i else y * 0.7, rng.uniform(0, 0.5)), False)
                leg(rig, f"{name} leg", [f"{name} anchor", f"{side} {half}"])
            leg(rig, f"{side} {half} upper", [f"{side} {half}", master])
    else:
        rig.points[master]["friction"] = 0.0
        for i in range(3):
            anchor_point(rig, f"{side} anchor {i + 1}", side, spot(i, 3, reach), False)
        leg(rig, f"{side} slide", [f"{side} anchor 1", master, f"{side} anchor 3"], rng.choice(["rope", "static"]))
        if rng.random() < 0.7:
            leg(rig, f"{side} leg 2", [f"{side} anchor 2", master])
    if backup_master != master:
        free_point(rig, backup_master, side, off(0.4, 0.1, -0.1), "shackle")
        for i in range(rng.randint(1, 2)):
            anchor_point(rig, f"{side} backup anchor {i + 1}", side, off(reach + rng.uniform(-0.5, 0.8), rng.uniform(0.2, 1.0) * (1 - 2 * i), rng.uniform(-0.1, 0.6)), False)
            leg(rig, f"{side} backup leg {i + 1}", [f"{side} backup anchor {i + 1}", backup_master])


def line(rig, own):
    """Main line and backup."""
    rng = rig.rng
    masters = ("A backup master", "B backup master") if own else ("A master", "B master")
    web, spare = rig.items["web"], rig.items["spare"] if rng.random() < 0.5 else rig.items["web"]
    spare_name = next(k for k, v in rig.items.items() if v is spare)
    rig.excess = round(rng.uniform(0.03, 0.10), 4)
    segments = rng.choice([1, 1, 1, 2, 3, 4, 6]) if rig.span > 60 else rng.choice([1, 1, 2])
    ties = rng.choice(["every", "every", "some", "none"]) if segments > 1 else "none"
    under = spare["per_metre"] * (1 + rig.excess)
    solve = rng.randrange(segments)
    if rng.random() < 0.8:
        # tight enough that a bare line sags by no more than a twentieth or so
        least = (web["per_metre"] + under) * 9.81 * rig.span / 8 / 0.05
        target = round(max(least * rng.uniform(1, 2), rng.uniform(900, 4500)), -1)
        at = rng.choice("AB")
        rig.kind, rig.value = 1 if at == "A" else 2, target
        aim = f"Solve(standing: {kn(target)}, at: {at})"
    else:
        rig.kind, rig.value = 3, round(rig.span * rng.uniform(0.04, 0.08), 2)
        aim = f"Solve(sag: {metres(rig.value)}, walker: true)"
        if rng.random() < 0.2:
            rig.kind, rig.value = 4, round(rig.span * rng.uniform(0.01, 0.04), 3)
            aim = f"Solve(sag: {metres(rig.value)}, walker: false)"
    texts, rig.pieces, rig.joints = [], [], []

    def hard(name):
        item = rig.items[name]
        texts.append(f'Part(item: "{name}")')
        rig.pieces.append((HARD, item["length"], item["mass"] / item["length"], 0.0, 0.026 if name == "lock" else 0.0))

    for name in ["shackle", "lock"]:
        hard(name)
    for i in range(segments):
        if i:
            rig.joints.append(len(rig.pieces))  # the place of the link
            hard("link")
        length = round(rig.span / segments * rng.uniform(0.8, 0.99), 3)
        if i == solve:
            rig.solve, length = len(rig.pieces), rig.span
        rig.pieces.append((web["law"], length, web["per_metre"] + under, web["alpha"], web["width"] + spare["width"]))
        ends = f'({"Sewn()" if i else "Locked()"}, {"Sewn()" if i + 1 < segments else "Locked()"})'
        texts.append(f'Part(item: "web", length: {aim if i == solve else metres(length)}, ends: {ends})')
    for name in ["lock", "shackle"]:
        hard(name)
    rig.runs["main"] = dict(role="role: Main, ", path=["A master", "B master"], texts=texts)

    texts = ['Part(item: "lock")']
    rig.tied = {"every": rig.joints, "none": [], "some": [k for k in rig.joints if rng.random() < 0.5]}[ties]
    pieces = len(rig.tied) + 1
    for i in range(pieces):
        if i:
            texts.append('Part(item: "link")')
        ends = f'({"Sewn()" if i else "Locked()"}, {"Sewn()" if i + 1 < pieces else "Locked()"})'
        texts.append(f'Part(item: "{spare_name}", ends: {ends})')
    texts.append('Part(item: "lock")')
    apart = 'ties: Apart(main: "link", backup: "link", together: "link")'
    connected = "AtEnds" if not rig.tied else f"EveryJoint({apart})" if ties == "every" else f"Joints(after: {[k + 1 for k in rig.tied]}, {apart})"
    rig.runs["backup"] = dict(role=f'role: Backup(of: "main", excess: "{rig.excess * 100:.4f} %", connected: {connected}), ', path=list(masters), texts=texts)
    rig.backup = dict(path=masters, law=spare["law"], alpha=spare["alpha"])


def make(seed):
    rig = Rig(seed)
    rng = rig.rng
    rig.span = round(math.exp(rng.uniform(math.log(15), math.log(500))), 2)
    rig.rise = round(rig.span * rng.uniform(-0.08, 0.08), 2)
    gear(rig)
    own = rng.random() < 0.6
    for side in "AB":
        anchor(rig, side, f"{side} master", f"{side} backup master" if own else f"{side} master")
    line(rig, own)
    rig.walkers = [round(rng.uniform(55, 100), 1) for _ in range(rng.choice([1, 1, 2, 3]))]
    rig.bounce = rng.choice([1.5, 2.0, 2.5, 3.0])
    rig.area = rng.choice([0.5, 0.7, 0.9])
    rig.together = rng.choice([1, 2, 2, 3])
    rig.warm = rng.randint(0, 25)
    rig.cold_by, rig.warm_by = rng.randint(5, 20), rng.randint(5, 25)
    rig.wind, rig.storm = rng.randint(4, 12), rng.randint(13, 28)
    deep = -rng.uniform(0.2, 0.6) * rig.span - 15
    rig.cases = []
    for i in range(rng.randint(0, 2)):
        loads = sorted((round(rng.uniform(0.02, 0.98), 3), round(rng.uniform(50, 110), 1)) for _ in range(rng.randint(0, 3)))
        rig.cases.append(dict(name=f"own {i + 1}", loads=loads, wind=rng.choice([0, 0, 7.5, -6]), degrees=rng.choice([0, 0, -12, 9])))
    rig.ground = [(-8.0, -0.5), (1.0, -1.5), (2.5, deep * 0.8)]
    for share in sorted(rng.uniform(0.2, 0.8) for _ in range(rng.randint(1, 4))):
        high = rng.random() < 0.3  # a ridge, somewhere below the line
        rig.ground.append((round(share * rig.span, 2), round(share * rig.rise + (-0.12 * rig.span - 4 if high else deep * rng.uniform(0.7, 1.3)), 2)))
    rig.ground += [(rig.span - 2.5, deep * 0.8 + rig.rise), (rig.span - 0.5, rig.rise - 1.5), (rig.span + 8, rig.rise - 0.5)]
    rig.ground = [(round(x, 3), round(z, 3)) for x, z in rig.ground]
    rig.ground = [p for i, p in enumerate(rig.ground) if i == 0 or p[0] > rig.ground[i - 1][0] + 0.02]
    return rig


def plan(rig):
    """The plan's text."""
    def local(p):
        return p["at"] if p["side"] == "A" else (p["at"][0] - rig.span, p["at"][1], p["at"][2] - rig.rise)

    out = ["Plan(", "    format: 1,", f'    title: "{rig.title}",', "    site: Site(",
           f"        span: {metres(rig.span)}, height_difference: {metres(rig.rise)},",
           "        ground: [" + ", ".join(f"({metres(x)}, {metres(z)})" for x, z in rig.ground) + "],",
           f'        air: Air(rigged_at: "{rig.warm} degC", coldest: "{rig.warm - rig.cold_by} degC", warmest: "{rig.warm + rig.warm_by} degC", '
           f'wind: "{rig.wind} m/s", storm: "{rig.storm} m/s", speeds: Gust),', "    ),",
           "    people: People(walkers: [" + ", ".join(f'"{m} kg"' for m in rig.walkers) + f"], bounce: {rig.bounce}, drag_area_m2: {rig.area}, together: {rig.together}),",
           "    points: {"]
    for name, p in rig.points.items():
        if p["fixed"]:
            gives = f', stiffness: "{p["gives"]} kN/mm"' if p["gives"] else ""
            out.append(f'        "{name}": Fixed(side: {p["side"]}, at: {triple(local(p))}, by: {p["by"]}{gives}),')
        else:
            friction = "" if p["friction"] is None else f', friction: {p["friction"]:.1f}'
            out.append(f'        "{name}": Free(side: {p["side"]}, near: {triple(local(p))}, hardware: "{p["hardware"]}"{friction}),')
    out.append("    },\n    runs: {")
    for name, run in rig.runs.items():
        path = run["path"]
        through = f', through: [{", ".join(chr(34) + p + chr(34) for p in path[1:-1])}]' if len(path) > 2 else ""
        out.append(f'        "{name}": Run({run["role"]}from: "{path[0]}", to: "{path[-1]}"{through}, parts: [')
        out += [f"            {t}," for t in run["texts"]]
        out.append("        ]),")
    out.append("    },\n    items: {")
    out += [f'        "{name}": {item["text"]},' for name, item in rig.items.items()]
    out.append("    },\n    cases: [")
    for c in rig.cases:
        loads = ", ".join(f'({share}, "{mass} kg")' for share, mass in c["loads"])
        wind = f', wind: "{c["wind"]} m/s"' if c["wind"] else ""
        degrees = f', temperature: "{rig.warm + c["degrees"]} degC"' if c["degrees"] else ""
        out.append(f'        Case(name: "{c["name"]}", walkers: [{loads}]{wind}{degrees}),')
    out.append("    ],\n)")
    return "\n".join(out) + "\n"


def variants(rig):
    """As made; then each leg short and the others of its anchor long: {id: number}, and their numbers."""
    ids, rows = {"": 0}, ["0"]
    for i, one in enumerate(rig.legs):
        group = [(k, o) for k, o in enumerate(rig.legs) if o["to"] == one["to"]]
        if len(group) < 2:
            continue
        ids[f'{one["name"]} {one["tolerance"] * 1000:.0f} mm short, the others long'] = len(rows)
        changes = [(k, o["off"][0], o["tolerance"] * o["off"][1] * (-1 if k == i else 1)) for k, o in group]
        rows.append(f"{len(changes)} " + " ".join(f"{k} {part} {by!r}" for k, part, by in changes))
    return ids, rows


def numbers(rig):
    """What solver.c reads."""
    names = {name: i for i, name in enumerate(rig.points)}
    out = ["rig", str(len(rig.laws))]
    out += [f"{len(law)} " + " ".join(f"{t!r} {e!r}" for t, e in law) for law in rig.laws]
    out.append(str(len(rig.points)))
    for p in rig.points.values():
        weight = rig.items[p["hardware"]]["mass"] * 9.80665 if p.get("weighs") else 0.0
        out.append(f'{int(p["fixed"])} {p["at"][0]!r} {p["at"][1]!r} {p["at"][2]!r} {weight!r}')
    out.append(str(len(rig.legs)))
    for one in rig.legs:
        out.append(f'{len(one["path"])} ' + " ".join(str(names[p]) for p in one["path"]) + f' {len(one["parts"])} '
                   + " ".join(f"{law} {length!r} {alpha!r}" for law, length, alpha in one["parts"]))
    out.append(f'{names["A master"]} {names["B master"]} {len(rig.pieces)}')
    out += [" ".join(repr(v) for v in piece) for piece in rig.pieces]
    out.append(f"{rig.solve} {rig.kind} {rig.value!r} {max(rig.walkers)!r}")
    b = rig.backup
    joints = rig.tied
    out.append(f'1 {names[b["path"][0]]} {names[b["path"][1]]} {rig.excess!r} {2 * 0.27 * 9.80665!r} {len(joints)} ' + " ".join(map(str, joints)))
    for i in range(len(joints) + 1):
        hard = 0.14 * ((i == 0) + (i == len(joints)))
        out.append(f'{b["law"]} {hard!r} {b["alpha"]!r}')
    out.append(f"{len(rig.ground)} " + " ".join(f"{x!r} {z!r}" for x, z in rig.ground))
    rows = variants(rig)[1]
    return "\n".join(out + [str(len(rows))] + rows) + "\n"
