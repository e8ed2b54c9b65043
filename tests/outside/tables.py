"""Printed tables that `published.py` holds ours against, with where each was seen."""

from tests.trade.plates import PLATE_SET_A, PLATE_SET_B

PLATES = (*PLATE_SET_A, *PLATE_SET_B)

# Clearance holes H12, H13, H14 as a fastener reference of the web prints ISO 273; M20 as a draughtsmen's page prints it
ISO_273 = {
    3: (3.2, 3.4, 3.6), 4: (4.3, 4.5, 4.8), 5: (5.3, 5.5, 5.8), 6: (6.4, 6.6, 7.0), 8: (8.4, 9.0, 10.0),
    10: (10.5, 11.0, 12.0), 12: (13.0, 13.5, 14.5), 14: (15.0, 15.5, 16.5), 16: (17.0, 17.5, 18.5),
    20: (21.0, 22.0, 24.0),
}  # fmt: skip

# Stress area, mm², and proof loads, N, as a fastener supplier's technical pages print EN ISO 898-1
ISO_898 = {
    3: (5.03, {"4.6": 1130, "5.6": 1410, "8.8": 2920, "10.9": 4180, "12.9": 4880}),
    4: (8.78, {"4.6": 1980, "5.6": 2460, "8.8": 5100, "10.9": 7290, "12.9": 8520}),
    5: (14.2, {"4.6": 3200, "5.6": 3980, "8.8": 8230, "10.9": 11800, "12.9": 13800}),
    6: (20.1, {"4.6": 4520, "5.6": 5630, "8.8": 11600, "10.9": 16700, "12.9": 19500}),
    8: (36.6, {"4.6": 8240, "5.6": 10200, "8.8": 21200, "10.9": 30400, "12.9": 35500}),
    10: (58.0, {"4.6": 13000, "5.6": 16200, "8.8": 33700, "10.9": 48100, "12.9": 56300}),
    12: (84.3, {"4.6": 19000, "5.6": 23600, "8.8": 48900, "10.9": 70000, "12.9": 81800}),
    14: (115, {"4.6": 25900, "5.6": 32200, "8.8": 66700, "10.9": 95500, "12.9": 112000}),
    16: (157, {"4.6": 35300, "5.6": 44000, "8.8": 91000, "10.9": 130000, "12.9": 152000}),
    18: (192, {}), 20: (245, {}), 22: (303, {}), 24: (353, {}),
}  # fmt: skip

# Pitch and minor diameter, as tap makers and fastener references print ISO 724: "M8x1" (fine) and coarse
ISO_724 = {
    "M5": (4.480, 4.134), "M6": (5.350, 4.917), "M8": (7.188, 6.647), "M10": (9.026, 8.376), "M8x1": (7.350, 6.917),
    "M6x0.75": (5.513, 5.188), "M10x1.25": (9.188, 8.647), "M10x1": (9.350, 8.917), "M10x0.75": (9.513, 9.188),
    "M12x1.5": (11.026, 10.376), "M12x1.25": (11.188, 10.647), "M12x1": (11.350, 10.917), "M14x1.5": (13.026, 12.376),
    "M16x1.5": (15.026, 14.376), "M18x1.5": (17.026, 16.376), "M20x1.5": (19.026, 18.376), "M20x2": (18.701, 17.835),
}  # fmt: skip

# Bore, key's width and height, depth in the hub: DIN 6885-1, deep pattern, as a tool maker's catalogue prints it
DIN_6885 = {
    8: (2, 2, 1.0), 10: (3, 3, 1.4), 12: (4, 4, 1.8), 14: (5, 5, 2.3), 16: (5, 5, 2.3), 17: (5, 5, 2.3),
    18: (6, 6, 2.8), 20: (6, 6, 2.8), 22: (6, 6, 2.8), 24: (8, 7, 3.3), 25: (8, 7, 3.3), 26: (8, 7, 3.3),
    28: (8, 7, 3.3), 30: (8, 7, 3.3), 32: (10, 8, 3.3), 34: (10, 8, 3.3), 35: (10, 8, 3.3), 36: (10, 8, 3.3),
    38: (10, 8, 3.3), 40: (12, 8, 3.3), 42: (12, 8, 3.3), 44: (12, 8, 3.3),
}  # fmt: skip
# Shaft over and up to, inches, square key: ANSI B17.1-1967 (R1998), Table 1, as a shop reference reprints it;
# the depth of its seat is half of it, so the other half lies in the hub
ANSI_B17_1 = (
    (5 / 16, 7 / 16, 3 / 32), (7 / 16, 9 / 16, 1 / 8), (9 / 16, 7 / 8, 3 / 16), (7 / 8, 1.25, 1 / 4),
    (1.25, 1.375, 5 / 16), (1.375, 1.75, 3 / 8), (1.75, 2.25, 1 / 2), (2.25, 2.75, 5 / 8), (2.75, 3.25, 3 / 4),
)  # fmt: skip

# Mass of steel bar, kg a metre, as merchants' tables print it: round by diameter, square by side, flat by both sides
ROUND_BARS = {6: 0.222, 8: 0.395, 10: 0.616, 12: 0.888, 16: 1.578, 20: 2.466, 25: 3.853, 32: 6.313, 40: 9.865,
              100: 61.65}  # fmt: skip
SQUARE_BARS = {6: 0.28, 8: 0.50, 10: 0.78, 12: 1.13, 16: 2.01, 20: 3.14, 25: 4.91}
FLAT_BARS = {(40, 5): 1.57}

# Outside diameter and thickness, as fastener references of the web print ISO 7089
ISO_7089 = {
    3: (7, 0.5), 4: (9, 0.8), 5: (10, 1.0), 6: (12, 1.6), 8: (16, 1.6), 10: (20, 2.0), 12: (24, 2.5), 14: (28, 2.5),
    16: (30, 3.0), 20: (37, 3.0),
}  # fmt: skip

# Width across flats of hexagon heads and nuts, as a published table of fasteners has them (ISO 272)
ISO_272 = {3: 5.5, 4: 7, 5: 8, 6: 10, 8: 13, 10: 16, 12: 18, 14: 21, 16: 24, 20: 30}

# The American drill index as a published list has it, inches: No. 60 to No. 1, A to Z
NUMBER_DRILLS = (
    0.0400, 0.0410, 0.0420, 0.0430, 0.0465, 0.0520, 0.0550, 0.0595, 0.0635, 0.0670, 0.0700, 0.0730, 0.0760, 0.0785,
    0.0810, 0.0820, 0.0860, 0.0890, 0.0935, 0.0960, 0.0980, 0.0995, 0.1015, 0.1040, 0.1065, 0.1100, 0.1110, 0.1130,
    0.1160, 0.1200, 0.1285, 0.1360, 0.1405, 0.1440, 0.1470, 0.1495, 0.1520, 0.1540, 0.1570, 0.1590, 0.1610, 0.1660,
    0.1695, 0.1730, 0.1770, 0.1800, 0.1820, 0.1850, 0.1890, 0.1910, 0.1935, 0.1960, 0.1990, 0.2010, 0.2040, 0.2055,
    0.2090, 0.2130, 0.2210, 0.2280,
)  # fmt: skip
LETTER_DRILLS = (
    0.2340, 0.2380, 0.2420, 0.2460, 0.2500, 0.2570, 0.2610, 0.2660, 0.2720, 0.2770, 0.2810, 0.2900, 0.2950, 0.3020,
    0.3160, 0.3230, 0.3320, 0.3390, 0.3480, 0.3580, 0.3680, 0.3770, 0.3860, 0.3970, 0.4040, 0.4130,
)  # fmt: skip

# Flute lengths, mm, just over and just under each step: DIN 338, from memory, so an echo that does not count
DIN_338 = {
    1.0: 12, 1.06: 12, 1.1: 14, 1.18: 14, 1.2: 16, 1.32: 16, 1.4: 18, 1.5: 18, 1.51: 20, 1.7: 20, 1.8: 22,
    1.9: 22, 1.91: 24, 2.12: 24, 2.2: 27, 2.36: 27, 2.4: 30, 2.65: 30, 2.66: 33, 3.0: 33, 3.01: 36, 3.35: 36, 3.36: 39,
    3.75: 39, 3.8: 43, 4.25: 43, 4.3: 47, 4.75: 47, 4.8: 52, 5.3: 52, 5.4: 57, 6.0: 57, 6.1: 63, 6.7: 63, 6.8: 69,
    7.5: 69, 7.6: 75, 8.5: 75, 8.6: 81, 9.5: 81, 9.6: 87, 10.0: 87, 10.6: 87, 10.7: 94, 11.8: 94, 11.9: 101, 13.2: 101,
    13.3: 108, 14.0: 108,
}  # fmt: skip

# Diameter and flutes of jobber drills as three shops list those of three makers, one of them "to DIN 338"
DRILLS_LISTED = {
    1.0: 12, 3.2: 36, 4.0: 43, 7.0: 69, 8.0: 75, 8.5: 75, 9.0: 81, 9.5: 81, 10.0: 87, 11.0: 94, 12.0: 101, 14.0: 108,
}  # fmt: skip

# How far a cut leans, inches, in ranges 2 to 5: a published chart of ISO 9013:2002
ISO_9013_LEAN_IN = {
    1.5: (0.0063, 0.0163, 0.0327, 0.0493), 3.4: (0.0068, 0.0171, 0.0342, 0.0519),
    6.4: (0.0077, 0.0183, 0.0365, 0.0560),
    9.5: (0.0085, 0.0195, 0.0390, 0.0604), 12.7: (0.0094, 0.0207, 0.0415, 0.0647),
    25.4: (0.0129, 0.0257, 0.0515, 0.0822),
}  # fmt: skip
# Thickness, size, ± mm: ISO 9013:2017, class 2, as a metal-cutting firm prints it
ISO_9013_CLASS_2 = (
    (2, 5, 0.6), (2, 20, 0.7), (2, 100, 0.7), (2, 200, 0.8), (5, 5, 0.8), (5, 20, 0.9), (5, 100, 0.9), (5, 200, 1.1),
    (0.9, 20, 0.6), (0.9, 200, 0.7), (0.9, 500, 0.8), (2, 500, 0.9), (2, 1500, 1.0), (5, 500, 1.2), (5, 1500, 1.3),
    (8, 500, 1.5), (8, 1500, 1.6), (12, 20, 1.8), (12, 100, 1.8), (12, 200, 1.9), (12, 500, 2.3), (12, 1500, 3.0),
    (8, 5, 1.0), (8, 20, 1.1), (8, 100, 1.3), (8, 200, 1.4), (3.15, 20, 0.7), (3.16, 20, 0.9), (5, 10, 0.9),
    (5, 9.99, 0.8),
)  # fmt: skip

# Least tensile strength of EN-GJL-250 by wall, MPa, as a foundry prints EN 1561
EN_1561 = {5.0: 250, 10.0: 225, 20.0: 195, 40.0: 170, 80.0: 155}

# source, ratio, divisions, turns, holes, circle
INDEXING = (
    ("od1644", 40, 6, 6, 26, 39), ("od1644", 40, 42, 0, 40, 42), ("table-manual", 90, 17, 5, 10, 34),
    ("table-manual", 90, 53, 1, 37, 53), ("treatise-milling", 40, 50, 0, 12, 15),
    ("treatise-milling", 40, 49, 0, 40, 49),
    ("navy-machinery", 40, 59, 0, 40, 59), ("navy-machinery", 40, 58, 0, 40, 58),
)  # fmt: skip

# source, number, the longer test that holds ours against it
_FE, _DISC = "test_finite_elements.py::", "test_disc_elements.py::"
_ADD = "test_adding_up.py::test_the_guides_additive_model"
_V8 = "test_signal_sources.py::test_a_measured_v8_s_greatest_speed_follows_from_its_least"
ELSEWHERE = (
    ("nafems", 44.623, _FE + "test_tapered_membrane"), ("nafems", 130.03, _FE + "test_tapered_membrane"),
    ("nafems", 162.70, _FE + "test_tapered_membrane"),
    ("leissa", 3.492, _FE + "test_cantilever_plate"), ("leissa", 8.525, _FE + "test_cantilever_plate"),
    ("thomson", 22.373, _FE + "test_free_free_bar"),
    ("peterson", 2.51, _DISC + "test_a_plate_with_a_hole"),
    ("jcgm-101", 3.92, _ADD), ("jcgm-101", 3.88, _ADD), ("jcgm-101", 17.0, _ADD),
    ("wallace", 54.6, "test_signal_sources.py::test_the_spacing_law_in_decibels"),
    ("tech-briefs", 225, _V8),
    ("dxf", 4, "test_standards_of_files.py::test_units_in_a_dxf"),
    ("norton", 0.904, "test_balance_examples.py::test_dynamic_balance_of_three_masses"),
    ("norton", 0.882, "test_balance_examples.py::test_dynamic_balance_of_three_masses"),
)  # fmt: skip

# Threads whose tolerances are worked out by ISO 965-1's formulae
THREADS = (
    "M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16", "M18", "M20", "M24", "M8x1", "M10x1", "M12x1", "M12x1.5",
    "M16x1.5", "M20x2", "M24x2", "M30x1", "M10x0.75", "M14x1.25", "M30x1.5", "M6x0.75", "M5x0.75",
)  # fmt: skip

# Upper and lower deviations, µm, of sizes over 3, 6, 10, 18, 30, 50, 80, 120, 180 up to the next: an extract of DIN ISO
# 286-2 (F7 and G7 of bores, which are f7 and g upside down) and a bar maker's table of h6
ISO_286_H6 = (8, 9, 11, 13, 16, 19, 22, 25, 29)
ISO_286_H7 = (12, 15, 18, 21, 25, 30, 35, 40, 46)
ISO_286_G = (4, 5, 6, 7, 9, 10, 12, 14, 15)
ISO_286_F = (10, 13, 16, 20, 25, 30, 36, 43, 50)
