"""Forms of the store: a delivery, a count, a supplier's offer, tools on hand."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Layout
from django import forms
from django.utils import timezone

from orchard.domain.plan import MaterialItem, ToolItem
from orchard.domain.stores import SupplierOffer
from orchard.forms.quantities import QuantityField
from orchard.forms.reading_base import DayInput

CODE = r"^[A-Za-z0-9][A-Za-z0-9-]{0,19}$"
CODE_WORDS = "Letters, digits and hyphens, at most 20, such as COM-4."


class StoreForm(forms.Form):
    """What every form of the store asks: which material."""

    material = forms.ChoiceField(label="Material")
    title = ""
    order: tuple[str, ...] = ()

    def __init__(self, *args: Any, materials: Iterable[MaterialItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["material"].choices = [(item.code, item.name) for item in materials]
        if "on" in self.fields:
            self.fields["on"].initial = timezone.localdate()
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout("material", Div(*self.order, css_class="pairs"))


class DeliveryForm(StoreForm):
    """A load that comes on a day."""

    title = "Record a delivery"
    order = ("code", "on", "litres", "cost")
    code = forms.RegexField(label="Code", regex=CODE, error_messages={"invalid": CODE_WORDS})
    on = forms.DateField(label="Day it comes", widget=DayInput())
    litres = QuantityField(label="Loose volume", unit="L", us="cu yd", least=1, most=1e6)
    cost = QuantityField(label="Cost with delivery", most=1e6, required=False)


class CountForm(StoreForm):
    """What was found in the bay."""

    title = "Record a count"
    order = ("on", "litres", "note")
    on = forms.DateField(label="Day it was counted", widget=DayInput())
    litres = QuantityField(label="Found", unit="L", us="cu yd", most=1e6)
    note = forms.CharField(label="Note", max_length=120, required=False)


class OfferForm(StoreForm):
    """A supplier's offer."""

    title = "Record a supplier’s offer"
    order = ("code", "supplier", "unit", "litres", "price", "least", "delivery", "lead_days")
    code = forms.RegexField(label="Code", regex=CODE, error_messages={"invalid": CODE_WORDS})
    supplier = forms.CharField(label="Supplier", max_length=120)
    unit = forms.ChoiceField(label="Sold by", choices=[("bag", "the bag"), ("bulk", "loose")])
    litres = QuantityField(
        label="One unit holds",
        unit="L",
        us="cu ft",
        least=0.1,
        most=1e5,
        help_text="“1 cu yd” and “2 cu ft” are understood.",
    )
    price = QuantityField(label="Price of one unit", most=1e6)
    least = forms.IntegerField(label="Least order, units", min_value=1, max_value=10000, initial=1)
    delivery = QuantityField(label="Delivery, once per order", most=1e6, initial=0)
    lead_days = forms.IntegerField(
        label="Days from order to delivery", min_value=0, max_value=365, initial=7
    )

    def to_offer(self) -> SupplierOffer:
        """Return the offer."""
        given = self.cleaned_data
        return SupplierOffer(
            code=given["code"],
            material=given["material"],
            supplier=given["supplier"],
            unit=given["unit"],
            litres_per_unit=given["litres"],
            price_cents_per_unit=round(given["price"] * 100),
            least_units=given["least"],
            delivery_cents=round(given["delivery"] * 100),
            lead_days=given["lead_days"],
        )


class ToolsForm(forms.Form):
    """How many of each tool there are."""

    def __init__(self, *args: Any, tools: Iterable[ToolItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.codes = []
        for tool in tools:
            self.codes.append(tool.code)
            self.fields[f"tool-{tool.code}"] = forms.IntegerField(
                label=tool.name.capitalize(), min_value=0, max_value=1000, initial=tool.on_hand
            )
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Div(*(f"tool-{code}" for code in self.codes), css_class="pairs")
        )

    def on_hand(self) -> dict[str, int]:
        """Return the numbers by code."""
        return {code: self.cleaned_data[f"tool-{code}"] for code in self.codes}


STORE_FORMS: dict[str, type[StoreForm]] = {
    "delivery": DeliveryForm,
    "count": CountForm,
    "offer": OfferForm,
}
