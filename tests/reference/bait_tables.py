"""Makes the tables that the bait and physics tests hold against general-purpose libraries.

Needs: iapws 1.5, CoolProp 8, fluids 1.3, scipy 1.17. Prints each table with the name of the test that carries it; what
is not in a library (Ganser, Pettyjohn and Christiansen, Choi and Okos's carbohydrate, Pham's and Plank's formulas, the
meniscus) is computed here from the printed formula, apart from the project's code.
"""

from math import cos, exp, log10, pi, radians, sin, sqrt

import CoolProp.CoolProp as cp
import fluids
from iapws import IAPWS95
from iapws._iapws import _Tension
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.stats import beta


def water():
    print("# tests/water_iapws.rs: t, density kg/m3, viscosity uPa s, surface tension mN/m")
    for t in (0, 4, 5, 10, 15, 20, 25, 30, 35, 40):
        w = IAPWS95(T=t + 273.15, P=0.101325)
        print(f"({t}.0, {w.rho:.5f}, {w.mu * 1e6:.4f}), {1e3 * _Tension(t + 273.15):.4f}")


def food():
    print("# tests/food_choi_okos.rs: component, t, density, heat capacity, conductivity")
    names = {"protein": "FoodProtein", "fat": "FoodFat", "fibre": "FoodFiber", "ash": "FoodAsh"}
    for name, fluid in names.items():
        for t in (4, 10, 20):
            props = [cp.PropsSI(p, "T", t + 273.15, "P", 101325, "INCOMP::" + fluid) for p in ("D", "C", "L")]
            print(name, t, *(f"{p:.6g}" for p in props))


PHI = (pi / 6) ** (1 / 3)


def haider_levenspiel(re):
    a = exp(2.3288 - 6.4581 * PHI + 2.4486 * PHI**2)
    b = 0.0964 + 0.5565 * PHI
    c = exp(4.905 - 13.8944 * PHI + 18.4222 * PHI**2 - 10.2599 * PHI**3)
    d = exp(1.4681 + 12.2584 * PHI - 20.7322 * PHI**2 + 15.8855 * PHI**3)
    return 24 / re * (1 + a * re**b) + c / (1 + d / re)


def ganser(re):
    k1 = 1 / (1 / 3 + 2 / 3 / sqrt(PHI))
    k2 = 10 ** (1.8148 * (-log10(PHI)) ** 0.5743)
    x = re * k1 * k2
    return k2 * (24 / x * (1 + 0.1118 * x**0.6567) + 0.4305 / (1 + 3305 / x))


def pettyjohn(re):
    k1, newton = 0.843 * log10(PHI / 0.065), 5.31 - 4.88 * PHI
    return ((24 / (k1 * re)) ** 0.85 + newton**0.85) ** (1 / 0.85)


LAWS = (haider_levenspiel, ganser, pettyjohn)


def drag():
    print("# tests/drag_tables.rs: cube, Re and the three laws")
    for re in (0.1, 1, 10, 100, 300, 1000, 2000, 3000, 5000, 1e4, 2.5e4):
        print(re, *(f"{law(re):.4f}" for law in LAWS))
    print("# steady speed at 15 C: edge mm, density, m/s by the three laws")
    rho, mu = 999.1026, 1137.568e-6
    for edge in (4, 6, 8, 10):
        for density in (1020, 1040, 1060):
            d = edge * 1e-3 * (6 / pi) ** (1 / 3)

            def balance(v, law):
                return law(rho * v * d / mu) * v * v - 4 / 3 * d * 9.81 * (density - rho) / rho

            print(edge, density, *(f"{brentq(balance, 1e-4, 5, args=(law,), xtol=1e-12):.6f}" for law in LAWS))
    print("# sphere at Re 200, fluids:", fluids.drag.Haider_Levenspiel(200), fluids.drag.Clift(200))


def intervals():
    print("# tests/bait_float.rs: k, n, 2.5, 50, 97.5 % of Beta(k + 1/2, n - k + 1/2)")
    for k, n in ((0, 50), (1, 50), (5, 50), (0, 10), (2, 10), (10, 10)):
        print(k, n, *(f"{beta.ppf(q, k + 0.5, n - k + 0.5):.8f}" for q in (0.025, 0.5, 0.975)))


def dimple(psi, radius, lc):
    """Depth of the rim below the level: the meniscus outside a disc, by shooting inwards from a far small slope."""

    def rim(far):
        # By arc length from far out: r, height below the level, slope angle; lengths in lc.
        def slope(_, y):
            r, z, angle = y
            return [-cos(angle), sin(angle), z + sin(angle) / r]

        start = [radius / lc + 12, far, far]
        stop = lambda _, y: y[0] - radius / lc
        stop.terminal = True
        out = solve_ivp(slope, (0, 60), start, events=stop, rtol=1e-10, atol=1e-14)
        return out.y[2][-1], out.y[1][-1]

    far = brentq(lambda f: rim(exp(f))[0] - psi, -16, -9)
    return rim(exp(far))[1] * lc


def meniscus():
    print("# tests/bait_float.rs: angle, edge mm, tension only, with the dimple (15 C)")
    lc = 1e3 * sqrt(_Tension(288.15) / (IAPWS95(T=288.15, P=0.101325).rho * 9.80665))
    for angle in (10, 20, 45, 90):
        for edge in (3, 4, 6, 8, 10):
            psi = radians(angle)
            tension = 4 * (lc / edge) ** 2 * sin(psi)
            try:
                print(angle, edge, f"{tension:.4f} {tension + dimple(psi, edge / sqrt(pi), lc) / edge:.4f}")
            except ValueError as error:
                print(angle, edge, f"{tension:.4f}", error)


def freezing():
    plank = 1057 * 251250 / (270.4 - 244.3) * (0.0635 / (2 * 17) + 0.0635**2 / (8 * 1.038))
    print("# tests/bait_cold.rs: Geankoplis 5.5-2,", plank, "s")
    mean = 1.8 + 0.263 * -18 + 0.105 * -35
    h1, h2 = 1050 * 3349 * (5 - mean), 1000 * (247000 + 1800 * (mean + 18))
    hours = 0.05 / 16.6667 * (h1 / ((5 + mean) / 2 + 35) + h2 / (mean + 35)) * (1 + 16.6667 * 0.05 / 1.4 / 2) / 3600
    print("# Pham's example,", hours, "h")


if __name__ == "__main__":
    for table in (water, food, drag, intervals, meniscus, freezing):
        table()
