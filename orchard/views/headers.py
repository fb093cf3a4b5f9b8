"""What every answer of this server tells browsers and proxies beside its content.

The content policy and Django's own headers stand in the settings. Not for static files: their
server answers before this.
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


def keep_nothing(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Return a middleware that lets nobody keep a page: nearly all say who comes when.

    On a shared computer the next person's “back” must not show a roster. A view that says
    something else about keeping has its word.
    """

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Cache-Control", "no-store")
        return response

    return answer
