"""The site's own figures as shipped: proposed, to be reviewed by each site.

Where a published text stands behind a figure it is named beside it; adopting
it for volunteers is the site's choice. Not law, and no substitute for local
codes or licensed practice.
"""

from datetime import date

from scheduling.domain.rule_set import (
    EVERY_AGE,
    ByAge,
    CheckValidity,
    Company,
    ExposureLimits,
    Facilities,
    FigureSource,
    LoadCaps,
    RuleSet,
    Stretches,
)
from scheduling.domain.rule_sets.site_tools import TOOL_AGES
from scheduling.domain.rule_sets.site_weather import HEAT, WEATHER

CHECKED_ON = date(2026, 11, 25)


def _from(figure: str, source: str, status: str) -> FigureSource:
    return FigureSource(figure, source, status, CHECKED_ON)


COMPANY = Company(
    guardian_below_age=12,
    smallest_crew_with_young=3,
    smallest_class_part=3,
    adults_in_sight=2,
    uncommitted_leads=1,
    second_adult_unrelated=False,
    first_aider_counts=False,
    people_per_first_aider=25,
    watched_closely_per_adult=6,
    consent_months=12,
    sources=(
        _from(
            "adults_in_sight",
            "NSPCC Learning, Recommended adult to child ratios for working with children, "
            "September 2023 (at least two adults, even with smaller groups)",
            "published",
        ),
        _from(
            "smallest_crew_with_young",
            "Girl Guides Australia, Ratios at a glance, and Scouting America, Scouting's Barriers "
            "to Abuse (no one-to-one contact); three in a crew: proposed",
            "published",
        ),
        _from(
            "people_per_first_aider",
            "Proposed, stricter than the HSE first-aid table for higher hazard (50 or part)",
            "proposed",
        ),
    ),
)

LOADS = LoadCaps(
    carry_kg=(
        ByAge(7, 2),
        ByAge(11, 3),
        ByAge(13, 5),
        ByAge(15, 8),
        ByAge(17, 10),
        ByAge(EVERY_AGE, 16),
    ),
    barrow_gross_kg=(ByAge(17, 40), ByAge(EVERY_AGE, 50)),
    barrow_kg=13,
    lifting_index_most=1.0,
    sources=(
        _from(
            "carry_kg",
            "Proposed, one figure for every body: the lower column of Code du travail D4153-39 "
            "(repealed text) from 14, backpack advice on typical weights below",
            "proposed",
        ),
        _from(
            "barrow_gross_kg",
            "Under 18: Code du travail D4153-39 (repealed text), wheelbarrow 40 kg with the "
            "barrow; adults: the low band of HSE INDG478 (RAPP tool), from memory",
            "reprint",
        ),
        _from("barrow_kg", "A common single-wheel barrow, common practice, no source", "proposed"),
        _from(
            "lifting_index_most",
            "NIOSH 94-110, revised 2021: a lifting index above 1.0 asks for a closer look",
            "reprint",
        ),
    ),
)

EXPOSURE = ExposureLimits(
    plan_points=50,
    stop_points=100,
    action_m_per_s2=2.5,
    limit_m_per_s2=5.0,
    unknown_tool_m_per_s2=10.0,
    youngest_age=18,
    sources=(
        _from("plan_points", "Proposed: half the action value of 100 points", "proposed"),
        _from("stop_points", "Proposed: the action value of 100 points", "proposed"),
        _from(
            "action_m_per_s2",
            "Directive 2002/44/EC article 3; Control of Vibration at Work Regulations 2005 "
            "(SI 2005/1093) regulation 4",
            "published",
        ),
        _from(
            "limit_m_per_s2",
            "Directive 2002/44/EC article 3; Control of Vibration at Work Regulations 2005 "
            "(SI 2005/1093) regulation 4",
            "published",
        ),
        _from("unknown_tool_m_per_s2", "Proposed: the high end of makers' figures", "proposed"),
        _from(
            "youngest_age",
            "Management of Health and Safety at Work Regulations 1999 (SI 1999/3242) "
            "regulation 19: vibration; adopted for volunteers as policy",
            "published",
        ),
    ),
)

NCCRAHS = (
    "NCCRAHS (Marshfield Clinic), Community-Based Agriculture: Safety Guidelines for Youth "
    "Working in Gardens, 2015: 7 to 9 years 15 minutes, 10 and 11 years 20 minutes at a chore"
)
STRETCHES = Stretches(
    longest_stretch_min=(ByAge(9, 15), ByAge(11, 20), ByAge(17, 50), ByAge(EVERY_AGE, 90)),
    break_min_per_hour=(ByAge(17, 10), ByAge(EVERY_AGE, 5)),
    heavy_rounds_in_a_row=2,
    heavy_rounds_in_all=4,
    kneeling_rounds_in_a_row=2,
    kneeling_min_in_all=120,
    kneeling_rounds_if_limited=2,
    sources=(
        _from(
            "longest_stretch_min",
            f"{NCCRAHS}; older: proposed, what the hourly break leaves, and 90 minutes for adults",
            "reprint",
        ),
        _from(
            "break_min_per_hour",
            "Under 18: Marshfield Clinic (NCCRAHS), Yard work: kids' safety, at least 10 minutes "
            "each hour; adults: proposed",
            "published",
        ),
        _from(
            "kneeling_min_in_all",
            "Ergonomics guidance (CCOHS, HSE): about 2 hours kneeling in a day",
            "from memory",
        ),
    ),
)

CHECKS = CheckValidity(
    months=36,
    end_exclusive=True,
    sources=(
        _from(
            "months",
            "Central Surrey Voluntary Action, DBS page: no expiry date, three-yearly renewal is "
            "common good practice",
            "published",
        ),
        _from("end_exclusive", "Proposed: the stricter reading of the last day", "proposed"),
    ),
)

FACILITIES = Facilities(
    people_per_toilet=20,
    toilet_within_m=400,
    toilets_not_asked_up_to_min=180,
    water_ml_per_person_hour=720,
    water_most_ml_per_person_hour=1420,
    capacity_people=100,
    open_holes_per_crew=6,
    hand_tools_looked_over_days=365,
    powered_tools_looked_over_days=90,
    trees_looked_over_days=1096,
    before_sunset_min=30,
    sources=(
        _from(
            "people_per_toilet",
            "US OSHA 29 CFR 1928.110, field sanitation: one toilet and one hand-wash for each 20 "
            "or part, within a quarter mile, not asked for up to three hours",
            "published",
        ),
        _from(
            "water_ml_per_person_hour",
            "NIOSH: 8 fl oz (240 mL) each 15 to 20 minutes in heat",
            "reprint",
        ),
        _from(
            "water_most_ml_per_person_hour",
            "US Army fluid replacement table: not above 1.5 US quarts (1.42 L) an hour",
            "published",
        ),
        _from("capacity_people", "Invented default, to be set by each site", "proposed"),
        _from("open_holes_per_crew", "Proposed; common practice, no source", "proposed"),
        _from("hand_tools_looked_over_days", "Proposed: every year, and before use", "proposed"),
        _from(
            "powered_tools_looked_over_days",
            "Proposed: every quarter and before use; makers' handbooks prevail",
            "proposed",
        ),
        _from(
            "trees_looked_over_days",
            "Proposed: every three years; National Tree Safety Group, Common sense risk management "
            "of trees, 2011, asks for proportion and names no interval",
            "proposed",
        ),
        _from("before_sunset_min", "Proposed: half an hour to pack up in the light", "proposed"),
    ),
)

RULE_SET = RuleSet(
    code="SITE-1",
    version=1,
    title="The site's own figures",
    source="Proposed: common practice, to be reviewed by each site",
    status="proposed",
    checked_on=CHECKED_ON,
    summary=(
        "Who must be near whom, tools by age, loads, vibration, stretches and breaks, checks, "
        "heat and other weather, toilets, water and room."
    ),
    company=COMPANY,
    tool_ages=TOOL_AGES,
    loads=LOADS,
    exposure=EXPOSURE,
    stretches=STRETCHES,
    check_validity=CHECKS,
    heat=HEAT,
    weather=WEATHER,
    facilities=FACILITIES,
)
