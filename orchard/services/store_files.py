"""The files of soil readings and of the stores, read and checked.

Part of `ground_files`. Nothing is written from here.
"""

from dataclasses import dataclass
from datetime import date

from orchard.domain.plan import MaterialItem, Store, ToolItem
from orchard.domain.soil import Moisture
from orchard.models import Reading
from orchard.services.import_files import FileReader, note_repeats

TOOL_KEYS = (
    "code",
    "name",
    "on_hand",
    "minimum_age",
    "powered",
    "briefing",
    "inspected_on",
    "vibration_m_s2",
    "mass_kg",
)
READING_COLUMNS = ("code", "area", "on", "kind", "value", "depth_cm", "moisture", "texture")


@dataclass(frozen=True, slots=True)
class ReadingFile:
    """A soil reading as written."""

    area: str
    code: str
    fields: dict[str, object]


@dataclass(frozen=True, slots=True)
class DeliveryFile:
    """A delivery as written."""

    material: str
    code: str
    on: date
    litres: int


def read_readings(reader: FileReader, areas: list[str]) -> tuple[ReadingFile, ...]:
    """Return what readings.csv says; problems go to the reader's list."""
    rows = reader.read_csv("readings.csv", READING_COLUMNS)
    found = [
        ReadingFile(
            area=row.choice("area", areas, "area"),
            code=row.code("code", most=20),
            fields={
                "on": row.day("on"),
                "kind": row.choice("kind", Reading.Kind.values, "kind of reading"),
                "value": row.number("value", least=0, most=100),
                "depth_cm": row.number("depth_cm", least=0, most=200, unit="cm"),
                "moisture": row.choice("moisture", [wet.value for wet in Moisture], "moisture"),
                "texture": row.text("texture", most=40, optional=True),
            },
        )
        for row in rows
    ]
    note_repeats(zip(rows, [reading.code for reading in found], strict=True), "reading")
    return tuple(found)


def read_stores(reader: FileReader) -> tuple[Store, tuple[DeliveryFile, ...]]:
    """Return what stores.toml says; problems go to the reader's list."""
    file = reader.read_toml("stores.toml", ("tool", "material", "delivery"))
    tool_rows = reader.read_tables("stores.toml", file, "tool", TOOL_KEYS)
    tools = tuple(
        ToolItem(
            code=row.code("code", most=40),
            name=row.text("name", most=80),
            on_hand=row.whole("on_hand", least=0, most=1000),
            minimum_age=row.whole("minimum_age", least=0, most=99, unit="years", default=0),
            powered=row.truth("powered"),
            briefing=row.text("briefing", most=40, optional=True),
            inspected_on=row.optional_day("inspected_on"),
            vibration_m_s2=row.optional_number("vibration_m_s2", least=0, most=100, unit="m/s²"),
            mass_kg=row.optional_number("mass_kg", least=0, most=500, unit="kg"),
        )
        for row in tool_rows
    )
    material_keys = ("code", "name", "kg_per_m3", "price_cents_per_m3", "bag_litres")
    material_rows = reader.read_tables("stores.toml", file, "material", material_keys)
    materials = tuple(
        MaterialItem(
            code=row.code("code", most=40),
            name=row.text("name", most=80),
            kg_per_m3=row.number("kg_per_m3", least=1, most=5000, unit="kg/m³"),
            price_cents_per_m3=row.whole("price_cents_per_m3", least=0, most=10_000_000),
            bag_litres=row.optional_number("bag_litres", least=0, most=2000, unit="L") or 0.0,
        )
        for row in material_rows
    )
    rows = reader.read_tables("stores.toml", file, "delivery", ("code", "material", "on", "litres"))
    deliveries = tuple(
        DeliveryFile(
            material=row.choice("material", [item.code for item in materials], "material"),
            code=row.code("code", most=20),
            on=row.day("on"),
            litres=row.whole("litres", least=1, most=1_000_000, unit="L"),
        )
        for row in rows
    )
    note_repeats(zip(tool_rows, [tool.code for tool in tools], strict=True), "tool")
    note_repeats(zip(material_rows, [item.code for item in materials], strict=True), "material")
    note_repeats(zip(rows, [delivery.code for delivery in deliveries], strict=True), "delivery")
    return Store(tools, materials), deliveries
