"""One pocket on one page, as a PDF."""

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_safe

from orchard.domain.errors import PlannerError, UnknownGround
from orchard.queries.roles import Standing
from scheduling.services.pocket_sheets import PAPERS, build_pocket_sheet
from scheduling.sheets.pocket import PocketTooLong, render_pocket_sheet
from scheduling.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def send_sheet(request: HttpRequest, standing: Standing, pocket: str, paper: str) -> HttpResponse:
    """Send the pocket's page."""
    if paper not in PAPERS:
        raise Http404
    printed = date_format(timezone.localtime(), "j F Y, H:i")
    try:
        sheet = build_pocket_sheet(
            site_id=standing.site_id,
            code=pocket,
            on=timezone.localdate(),
            printed=printed,
            system=standing.system,
        )
        content = render_pocket_sheet(sheet, paper=PAPERS[paper])
    except UnknownGround as unknown:
        raise Http404 from unknown
    except (PlannerError, PocketTooLong) as error:
        return HttpResponse(str(error), status=409, content_type="text/plain; charset=utf-8")
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="pocket-{pocket}-{paper}.pdf"'
    return answer
