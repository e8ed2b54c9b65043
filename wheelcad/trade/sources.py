"""Every published work that a figure or a verdict rests on, once: what it is, where in it, and how it was seen.

seen: read (the work itself), excerpt (a printed extract, table or abstract of it), memory (known, not seen here). A
finding names its source in words; `cited_in` tells which works of this register those words name. What has no source
says so; tests/outside/register.py holds the ways of saying that a figure is our own reckoning or a custom of the trade.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Seen = Literal["read", "excerpt", "memory"]


class Source(NamedTuple):
    """A work. cited: the words by which sentences name it. by: author or body. place: clause, table or page.

    proved_by: tests that hold our numbers against it, "file.py::function" in tests/outside.
    """

    id: str
    cited: tuple[str, ...]
    by: str
    title: str
    year: str
    place: str
    seen: Seen
    proved_by: tuple[str, ...] = ()


_FITS = "test_fits_threads_rotation.py::"
_BEND = "test_bending_plasma_cutting.py::"
_PLACED = "test_placings.py::"
_VALUES = "test_published.py::test_ours_is_what_is_published"

SOURCES: tuple[Source, ...] = (
    Source("iso-21940-11", ("ISO 21940-11",), "ISO", "Rotor balancing: procedures and tolerances for rotors with rigid "
           "behaviour", "2016", "Table 1; U = e·m", "excerpt",
           ("test_unbalance.py::test_one_kilogram_at_six_thousand",
            "test_unbalance.py::test_factors_printed_in_the_trade",
            "test_balance_examples.py::test_permissible_of_a_design_by_the_standards_formula")),
    Source("iso-21940-32", ("ISO 21940-32",), "ISO", "Rotor balancing: shaft and fitment key convention", "2012",
           "abstract: half-keys", "excerpt"),
    Source("din-6935", ("DIN 6935",), "DIN", "Cold bending of flat rolled steel", "2011", "k = 0.65 + 0.5 log(r/s)",
           "excerpt", (_BEND + "test_din_6935", _BEND + "test_k_never_passes_one")),
    Source("machinerys", ("Machinery's Handbook",), "Industrial Press", "Machinery's Handbook", "", "angular indexing; "
           "counterbalancing in planes", "memory",
           (_VALUES, "test_balance_examples.py::test_two_planes_as_a_handbook_writes_them")),
    Source("table-book", ("table book for metal trades",), "a publisher for the metal trades", "Table book for metal "
           "trades", "", "deductions of 90 degree bends", "memory", (_BEND + "test_din_6935",)),
    Source("astm-a6", ("ASTM A6",), "ASTM", "General requirements for rolled structural steel", "",
           "Table X4.2", "excerpt", (_VALUES,)),
    Source("a36-bending", ("structural steel reference",), "a steel association", "Least inside radius, cold bending "
           "of A36 plate", "", "plate to 1/4 and 1/2 in", "excerpt", (_BEND + "test_least_radius_of_a36",)),
    Source("iso-9013", ("ISO 9013",), "ISO", "Thermal cutting: classification of thermal cuts", "2017",
           "perpendicularity ranges; limit deviations class 2", "excerpt",
           (_BEND + "test_perpendicularity", _BEND + "test_plasma_sizes")),
    Source("plasma-course", ("plasma cutting course", "plasma cutting guides"), "a cutting course", "Plasma cutting of "
           "mild steel: kerf by current", "", "slide of kerf widths", "excerpt", ()),
    Source("iso-2768-1", ("ISO 2768-1",), "ISO", "General tolerances for linear and angular dimensions", "1989",
           "Table 1, class m", "excerpt", (_FITS + "test_iso_2768_m",)),
    Source("iso-273", ("ISO 273",), "ISO", "Clearance holes for bolts and screws", "1979", "fine, medium, coarse",
           "excerpt", (_FITS + "test_iso_273",)),
    Source("iso-286", ("ISO 286",), "ISO", "ISO code system for tolerances on linear sizes", "2010",
           "tolerance unit; H7, h6, g6", "excerpt",
           (_FITS + "test_h7", _FITS + "test_grades_follow_the_tolerance_unit")),
    Source("iso-724", ("ISO 724",), "ISO", "Metric screw threads: basic dimensions", "1993", "d2, d1",
           "excerpt", (_VALUES, _FITS + "test_thread_sizes")),
    Source("iso-898-1", ("ISO 898-1",), "ISO", "Mechanical properties of fasteners: bolts, screws and studs", "2013",
           "Tables 3 to 5: stress areas, strengths, proof loads", "excerpt", (_FITS + "test_thread_sizes", _VALUES)),
    Source("iso-261", ("ISO 261", "ISO 262"), "ISO", "Metric screw threads: general plan", "1998", "coarse pitches",
           "excerpt", (_VALUES,)),
    Source("iso-4017", ("ISO 4017", "ISO 4014", "ISO 272"), "ISO", "Fasteners: hexagon head screws", "2022", "widths "
           "across flats; lengths", "excerpt", (_VALUES,)),
    Source("iso-7089", ("ISO 7089", "ISO 7093"), "ISO", "Plain washers, normal series, product grade A", "2000",
           "outside diameter, thickness", "excerpt", (_VALUES,)),
    Source("din-338", ("DIN 338", "ISO 235"), "DIN", "Twist drills with parallel shank, jobber series", "2006", "flute "
           "lengths", "memory", (_VALUES,)),
    Source("drill-lists", ("drill makers' lists",), "makers of twist drills", "Lists of jobber drills, to DIN 338", "",
           "flute lengths of twelve diameters from 1 to 14 mm", "excerpt", (_VALUES,)),
    Source("induction-tachometers", ("induction tachometers",), "a boat owners' forum", "How to set up an induction "
           "tachometer", "2023", "two sparks where one is expected: it shows twice the speed", "excerpt",
           ("test_ignition_and_sensing.py::test_a_lamp_that_counts_a_wasted_spark_shows_twice_the_speed",)),
    Source("iso-965", ("ISO 965",), "ISO", "Metric screw threads: tolerances", "2013", "6g, 6H limits; 13: formulae",
           "excerpt",
           (_VALUES, _FITS + "test_thread_limits_of_small_screws", _FITS + "test_thread_tolerance_widths")),
    Source("fed-std-h28", ("FED-STD-H28",), "US government", "Screw-thread standards for federal services", "",
           "length of engagement", "excerpt", (_FITS + "test_engagement",)),
    Source("en-1561", ("EN 1561",), "CEN", "Founding: grey cast irons", "", "EN-GJL-250 by wall", "excerpt",
           (_VALUES,)),
    Source("en-1563", ("EN 1563",), "CEN", "Founding: spheroidal graphite cast irons", "", "EN-GJS-400-15", "excerpt",
           (_VALUES,)),
    Source("en-10025-2", ("EN 10025-2",), "CEN", "Hot rolled products of structural steels", "", "S235 to 16 mm",
           "excerpt", (_VALUES,)),
    Source("en-1993-1-8", ("EN 1993-1-8",), "CEN", "Eurocode 3: design of joints", "2005", "Table 3.3: edge distances",
           "excerpt", (_VALUES,)),
    Source("shigley", ("Shigley",), "Shigley and others", "Mechanical Engineering Design", "", "rotating rings; bolt "
           "preload", "excerpt", (_FITS + "test_annular_disc",
           "test_disc_elements.py::test_a_disc_with_a_bore_without_and_with_a_pinhole")),
    Source("kirsch", ("Kirsch",), "E. G. Kirsch", "Die Theorie der Elastizität und die Bedürfnisse der "
           "Festigkeitslehre", "1898", "round hole in a plate: 3σ1 - σ2", "excerpt",
           ("test_disc_elements.py::test_bolt_holes_of_a_plate", "test_disc_elements.py::test_a_plate_with_a_hole")),
    Source("shop-practice", ("Shop Practice",), "a shop manual", "Shop Practice: cast-iron flywheels", "", "100 ft/s",
           "excerpt", (_FITS + "test_old_rim_rule",)),
    Source("od1644", ("OD1644", "milling handbooks"), "US Army", "Subcourse OD1644, milling "
           "operations", "", "540 minutes of arc a turn; indexing", "excerpt",
           ("test_indexing.py::test_degrees_a_turn", "test_indexing.py::test_rows")),
    Source("treatise-milling", ("Practical Treatise on Milling",), "Brown & Sharpe", "Practical Treatise on "
           "Milling and Milling Machines", "", "p. 58", "excerpt",
           ("test_indexing.py::test_plate_set_a_reaches_all_to_fifty",)),
    Source("navy-machinery", ("Machinery Repairman",), "US Navy", "Machinery Repairman, chapter 7", "", "divisions by "
           "plate", "excerpt", ("test_indexing.py::test_plate_set_b_reaches_all_to_sixty",)),
    Source("table-manual", ("rotary-table maker's manual",), "a maker of rotary tables", "Rotary table manual", "",
           "sector arms; divisions at 90:1", "excerpt", ("test_indexing.py::test_sector_arms",)),
    Source("pickup-guides", ("pickup makers' guides",), "makers of magnetic pickups", "Application guides", "", "pole "
           "to tooth, slot, gap; least surface speed", "excerpt",
           ("test_ignition_and_sensing.py::test_least_rim_speed",)),
    Source("gear-sensor", ("gear-tooth sensor data sheet", "AC-coupled gear-tooth sensor"), "makers of Hall sensors",
           "Gear-tooth sensor data sheets", "", "target geometry; power-up", "excerpt", (_VALUES,)),
    Source("milling-tables", ("milling tables",), "makers of milling cutters", "Tables of cutting speeds and feeds", "",
           "worked examples: 12 mm at 25 m/min, 125 mm at 200 m/min", "excerpt", (_VALUES,
           _BEND + "test_milling_speeds")),
    Source("print-guides", ("print guides",), "makers of filament printers", "Design guides", "", "holes, walls, text",
           "excerpt"),
    Source("energy-tech", ("energy-tech", "energy-technology"), "an energy-technology magazine", "Article on balancing",
           "", "1000 lb at 15,000 rpm", "excerpt", ("test_unbalance.py::test_thousand_pounds_at_fifteen_thousand",)),
    Source("norton", ("Norton",), "R. L. Norton", "Design of Machinery", "", "example of dynamic balance", "memory",
           ("test_balance_examples.py::test_dynamic_balance_of_three_masses",)),
    Source("nafems", ("NAFEMS",), "NAFEMS", "Selected benchmarks: LE10, FV52", "1990", "LE10, FV52, FV32", "excerpt",
           ("test_finite_elements.py::test_thick_elliptic_plate_under_pressure",
            "test_finite_elements.py::test_thick_square_plate_swings_in_its_plane",
            "test_finite_elements.py::test_tapered_membrane")),
    Source("leissa", ("Leissa", "Barton"), "A. W. Leissa; M. V. Barton", "Vibration of plates, NASA SP-160; Journal of "
           "Applied Mechanics 18", "1951", "square plate, one edge clamped: 3.492, 8.525", "excerpt",
           ("test_finite_elements.py::test_cantilever_plate",)),
    Source("thomson", ("Thomson",), "W. T. Thomson", "Theory of Vibration with Applications", "", "appendix D: normal "
           "modes of uniform beams", "excerpt",
           ("test_finite_elements.py::test_free_free_bar", "test_beam.py::test_bare_bar_has_the_textbook_root",
           _VALUES)),
    Source("timoshenko", ("Timoshenko",), "S. Timoshenko and others", "Theory of Elasticity", "", "rotating discs; a "
           "pinhole at the centre", "memory",
           ("test_disc_elements.py::test_a_disc_with_a_bore_without_and_with_a_pinhole", _VALUES)),
    Source("peterson", ("Peterson",), "R. E. Peterson", "Stress Concentration Factors", "", "strip with a round hole",
           "excerpt", ("test_disc_elements.py::test_a_plate_with_a_hole",)),
    Source("jcgm-101", ("JCGM 101",), "JCGM",
           "Evaluation of measurement data: Supplement 1 to the Guide, propagation of "
           "distributions using a Monte Carlo method", "2008", "9.2, additive model", "memory",
           ("test_adding_up.py::test_the_guides_additive_model",)),
    Source("carter", ("Carter",), "F. W. Carter", "Air-gap induction", "1901", "coefficient of a slotted gap",
           "excerpt",
           ("test_signal_sources.py::test_carter_s_coefficient",)),
    Source("neville", ("Neville",), "Neville", "Use of Carter's coefficient with narrow teeth, Proc. IEE 114", "1967",
           "abstract", "excerpt", ("test_signal_sources.py::test_carter_s_coefficient",)),
    Source("wallace", ("Wallace",), "R. L. Wallace", "The reproduction of magnetically recorded signals, Bell System "
           "Technical Journal", "1951", "54.6 dB a wavelength", "memory",
           ("test_signal_sources.py::test_the_spacing_law_in_decibels",)),
    Source("tech-briefs", ("Tech Briefs",), "Tech Briefs", "Engine cranking speed (test and measurement, 21269)", "",
           "trace of a V8", "excerpt",
           ("test_signal_sources.py::test_a_measured_v8_s_greatest_speed_follows_from_its_least",)),
    Source("dxf", ("DXF reference",), "published by the format's owner", "DXF reference", "", "$INSUNITS: 1 inches, "
           "4 millimetres", "excerpt",
           ("test_standards_of_files.py::test_units_in_a_dxf",)),
    Source("3mf", ("3MF core",), "3MF consortium", "3MF core specification", "", "unit", "excerpt",
           ("test_standards_of_files.py::test_units_of_a_3mf",)),
    Source("iso-128", ("ISO 128",), "ISO", "Technical product documentation: lines", "2022", "types 01, 02, 04, 05; "
           "widths", "excerpt", (_PLACED + "test_two_widths_of_line_in_the_ratio_two_to_one",
           "test_drawing_files.py::test_line_widths_and_dashes",)),
    Source("iso-129-1", ("ISO 129",), "ISO", "Technical product documentation: presentation of dimensions and "
           "tolerances", "2018", "5: texts above their line, read from the bottom or the right", "excerpt",
           (_PLACED + "test_dimensions_stand_above_their_line_and_are_read_from_the_bottom_or_the_right",
            _PLACED + "test_each_dimension_is_given_once")),
    Source("iso-7200", ("ISO 7200",), "ISO", "Technical product documentation: data fields in title blocks and "
           "document headers", "2004", "data fields: mandatory ones, their lengths", "excerpt",
           (_PLACED + "test_the_title_block_has_the_fields_that_must_be", _PLACED + "test_the_title_block_s_place")),
    Source("din-6885", ("DIN 6885",), "DIN", "Parallel keys, deep pattern", "1968", "width, height and hub keyway by "
           "shaft; r2", "excerpt", ("test_standard_keys.py::test_keys_of_the_demos",)),
    Source("ansi-b17-1", ("ANSI B17.1",), "ANSI", "Keys and keyseats", "1967", "Table 1: square keys by shaft, half "
           "their height in the hub", "excerpt", ("test_standard_keys.py::test_keys_of_the_demos",)),
    Source("bar-masses", ("tables of bar masses",), "steel merchants", "Mass of round, square and flat steel bar", "",
           "kg a metre", "excerpt", (_VALUES,)),
    Source("iso-5457", ("ISO 5457",), "ISO", "Technical product documentation: sizes and layout of drawing sheets",
           "1999",
           "drawing space of A4 and A3", "excerpt",
           ("test_standards_of_files.py::test_drawing_space",)),
    Source("iso-6983", ("ISO 6983", "DIN 66025"), "ISO", "Program format and definition of address words", "2009",
           "G00, G90, M00, M30; A turns about X", "excerpt",
           ("test_standards_of_files.py::test_words_of_the_axis_program",)),
    Source("drill-gauge", ("drill gauge", "ANSI B94.11M"), "the trade", "American drill index: numbers and letters", "",
           "No. 60 to 1, A to Z", "excerpt", (_FITS + "test_inch_drills", _VALUES)),
)  # fmt: skip


def cited_in(words: str) -> tuple[Source, ...]:
    """The works of the register that a finding's source names."""
    return tuple(source for source in SOURCES if any(name in words for name in source.cited))


def marked(words: str) -> str:
    """A finding's source as pages print it: its words, and in brackets the works' names in this register."""
    found = ", ".join(source.id for source in cited_in(words))
    return f"{words} [{found}]" if found else words
