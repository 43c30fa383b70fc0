#!/usr/bin/env python3
"""The fall of small rigs in link angles, with an adaptive stiff solver: an independent check of the stepping.

Unknown are the links' angles (and the float's place when it slides), so that lengths are kept by construction; there
are no multipliers and no fixed step. The forces are written out again here from the published laws. Dense algebra,
a few tens of links at most. Needs numpy and scipy. Writes tests/data/rig_fall_small.json:

    python3 tests/reference/rig_fall.py > tests/data/rig_fall_small.json
"""
import json
import math

import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665


def water(t):
    rho = 999.97495 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    d = 20 - t
    mu = 1.0016e-3 * 10 ** (d / (t + 96) * (1.2364 - 1.37e-3 * d + 5.7e-6 * d * d))
    return rho, mu


def mesh(rig):
    main, length = rig["main"]["length_m"], rig["main"]["length_m"] + rig["hooklength"]["length_m"]
    breaks = sorted([0, main, length] + [length - s["from_hook_m"] for s in rig["shots"]])
    breaks = [b for i, b in enumerate(breaks) if i == 0 or b - breaks[i - 1] > 1e-9]
    s = [0.0]
    for a, b in zip(breaks, breaks[1:]):
        h = rig["max_link_m"] * min(max(length - (a + b) / 2, 0.25), 1)
        n = math.ceil((b - a) / h - 1e-9)
        s += [a + (b - a) * (i + 1) / n for i in range(n)]
    return np.array(s)


def g_line(re):
    return 1.18 * re + 6.8 * re**0.11 + 1.96 * re**0.5 - 4e-4 * re**2 / (1 + 3.64e-7 * re**2)


def g_sphere(re):
    return 24 * (1 + 0.15 * re**0.687) + 0.42 * re / (1 + 42500 * max(re, 1e-12) ** -1.16)


def g_cube(re):
    p = 0.806
    a, b = math.exp(2.3288 - 6.4581 * p + 2.4486 * p**2), 0.0964 + 0.5565 * p
    c = math.exp(4.905 - 13.8944 * p + 18.4222 * p**2 - 10.2599 * p**3)
    e = math.exp(1.4681 + 12.2584 * p - 20.7322 * p**2 + 15.8855 * p**3)
    return 24 * (1 + a * re**b) + c * re**2 / (re + e)


def run(rig):
    rho, mu = water(rig["temperature_C"])
    s = mesh(rig)
    length, n = s[-1], len(s) - 1
    seg = np.diff(s)
    d = np.where(s[1:] <= rig["main"]["length_m"] + 1e-9, rig["main"]["diameter_m"], rig["hooklength"]["diameter_m"])
    volume = np.pi * d**2 * seg / 4
    mass, weight = np.zeros(n + 1), np.zeros(n + 1)
    for k in range(n):
        for i in (k, k + 1):
            mass[i] += rig["line_density"] * volume[k] / 2
            weight[i] += (rig["line_density"] - rho) * G * volume[k] / 2
    bodies = []

    def add(i, m, density, count, cm, law):
        if m == 0:
            return
        v = m / density
        mass[i] += count * (m + cm * rho * v)
        weight[i] += count * (m - rho * v) * G
        bodies.append((i, (6 * v / np.pi) ** (1 / 3), count, law))

    for shot in rig["shots"]:
        i = int(np.argmin(abs(s - (length - shot["from_hook_m"]))))
        add(i, shot["mass_kg"], rig["shot_density"], shot["count"], 0.5, g_sphere)
    add(n, rig["hook"]["mass_kg"], rig["hook"]["density"], 1, 0.5, g_sphere)
    add(n, rig["bait"]["density"] * rig["bait"]["side_m"] ** 3, rig["bait"]["density"], 1, 0.67, g_cube)
    slide = rig["float"]["mode"] == "slide"
    if slide:
        mass[0] += rig["float"]["mass_kg"]
    current = rig["current"]

    def shape(y):
        th, om = y[:n], y[n + 1 : 2 * n + 1]
        t = np.stack([np.sin(th), np.cos(th)], 1)
        # dt/dtheta; the normal (t_z, -t_x) is the same vector.
        nrm = np.stack([np.cos(th), -np.sin(th)], 1)
        r, v = np.zeros((n + 1, 2)), np.zeros((n + 1, 2))
        r[:, 0], v[:, 0] = y[n], y[2 * n + 1]
        r[1:] += np.cumsum(seg[:, None] * t, 0)
        v[1:] += np.cumsum(seg[:, None] * nrm * om[:, None], 0)
        return t, nrm, r, v, om

    def rhs(_, y):
        t, nrm, r, v, om = shape(y)
        u = np.zeros_like(v)
        if current:
            u[:, 0] = current["u0"] * np.exp(-np.maximum(r[:, 1], 0) / current["decay_m"])
        w = u - v
        f = np.zeros_like(v)
        f[:, 1] = weight
        for k in range(n):
            for i in (k, k + 1):
                wn, wt = w[i] @ nrm[k], w[i] @ t[k]
                kn = 0.5 * mu * g_line(max(rho * abs(wn) * d[k] / mu, 1e-4))
                f[i] += seg[k] / 2 * (kn * wn * nrm[k] + 1.6 * mu * wt * t[k])
        for i, de, count, law in bodies:
            re = rho * np.hypot(*w[i]) * de / mu
            f[i] += count * np.pi / 8 * mu * de * law(re) * w[i]
        if slide:
            f[0, 0] += 0.5 * rho * rig["float"]["cda_m2"] * abs(w[0, 0]) * w[0, 0]
        # Motion of node i by coordinate j; the last coordinate is the float's place.
        jac = np.zeros((2 * (n + 1), n + 1))
        for k in range(n):
            jac[2 * (k + 1) :: 2, k] = seg[k] * nrm[k, 0]
            jac[2 * (k + 1) + 1 :: 2, k] = seg[k] * nrm[k, 1]
        jac[0::2, n] = 1.0 if slide else 0.0
        turn = np.zeros_like(v)
        turn[1:] = np.cumsum(-seg[:, None] * t * (om**2)[:, None], 0)
        m = np.zeros((2 * (n + 1), 2 * (n + 1)))
        for i in range(n + 1):
            m[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] += mass[i] * np.eye(2)
        for k in range(n):
            for i in (k, k + 1):
                m[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] += rho * volume[k] / 2 * np.outer(nrm[k], nrm[k])
        a = jac.T @ m @ jac
        b = jac.T @ (f.ravel() - m @ turn.ravel())
        if not slide:
            a[n, n], b[n] = 1.0, 0.0
        acc = np.linalg.solve(a, b)
        return np.concatenate([om, [y[2 * n + 1]], acc])

    y0 = np.zeros(2 * (n + 1))
    y0[:n] = math.radians(rig["launch_angle_deg"])
    at = np.arange(0, rig["t_end_s"] + 1e-9, 0.25)
    sol = solve_ivp(rhs, (0, rig["t_end_s"]), y0, method="BDF", rtol=1e-8, atol=1e-10, t_eval=at)
    assert sol.success, sol.message
    hook = np.array([shape(y)[2][-1] for y in sol.y.T])
    return {
        "rig": rig,
        "n_links": n,
        "hook_z_m": [round(float(z), 7) for z in hook[:, 1]],
        "hook_x_m": [round(float(x), 7) for x in hook[:, 0]],
    }


def rig(name, temperature, angle, main, hooklength, shots, hook, bait, current=None, flt=None, link=0.05, end=8):
    return {
        "name": name,
        "temperature_C": temperature,
        "launch_angle_deg": angle,
        "line_density": 1140.0,
        "shot_density": 11340.0,
        "main": {"length_m": main[0], "diameter_m": main[1]},
        "hooklength": {"length_m": hooklength[0], "diameter_m": hooklength[1]},
        "shots": [{"from_hook_m": a, "mass_kg": m, "count": c} for a, m, c in shots],
        "hook": {"mass_kg": hook, "density": 7850.0},
        "bait": {"side_m": bait[0], "density": bait[1]},
        "current": current,
        "float": flt or {"mode": "fixed"},
        "max_link_m": link,
        "t_end_s": end,
    }


RIGS = [
    rig("steep lay", 10, 60, (0.4, 1.5e-4), (0.15, 1e-4), [(0.3, 3.4e-5, 2), (0.2, 8e-6, 2)], 8e-6, (0.006, 1035.0)),
    rig("laid up-current", 15, -75, (0.5, 1.8e-4), (0.15, 1.1e-4), [(0.35, 6.5e-5, 2)], 1.5e-5, (0.008, 1040.0),
        {"u0": 0.06, "decay_m": 0.4}),
    rig("sliding in a drift", 20, 90, (0.45, 1.4e-4), (0.2, 1e-4), [(0.4, 3.4e-5, 3), (0.2, 1.3e-5, 1)], 5e-6,
        (0.005, 1050.0), {"u0": 0.08, "decay_m": 0.5}, {"mode": "slide", "mass_kg": 8e-4, "cda_m2": 1.5e-4}),
    rig("bare hook", 5, 90, (0.3, 1.2e-4), (0.1, 8e-5), [(0.15, 1.3e-5, 3)], 2e-5, (0.0, 1040.0)),
]

if __name__ == "__main__":
    print(json.dumps([run(r) for r in RIGS], indent=1))
