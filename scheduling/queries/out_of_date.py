"""What changed after a roster was published that people were not told of, and who is affected."""

from scheduling.domain.people import PersonId
from scheduling.domain.published import PublishedRoster
from scheduling.domain.wording import listed
from scheduling.invites.content import REQUEST, build_fingerprint, build_invites
from scheduling.models import InviteState, SignUp
from scheduling.models import Roster as RosterRow
from scheduling.queries.rosters import load_roster


def find_changes_since(
    roster_id: int, printed: PublishedRoster, *, base_url: str
) -> tuple[str, ...]:
    """Return a sentence for each thing a published roster no longer says truly; none for a draft.

    Args:
        roster_id: The roster.
        printed: The same, as its papers would say it now.
        base_url: Address of the site's pages, as it was published with.
    """
    row = RosterRow.objects.get(pk=roster_id)
    if row.state != RosterRow.State.PUBLISHED:
        return ()
    found = []
    here = {person.id for person in printed.people}
    at_work = {assignment.person for assignment in load_roster(roster_id).assignments}
    if gone := _names_of(row, at_work - here):
        found.append(f"On the roster and no longer signed up: {gone}.")
    new = SignUp.objects.filter(
        session_id=row.session_id, state=SignUp.State.CONFIRMED, at__gt=row.published_at
    ).select_related("person", "group")
    come = [
        str(each.person or each.group)
        for each in new.order_by("at", "pk")
        if each.group_id is not None or each.person_id not in at_work
    ]
    if come:
        found.append(f"Signed up since, and on no crew: {listed(come)}.")
    if told := _told_otherwise(row, printed, base_url):
        found.append(f"Told something else than what holds now: {told}.")
    return tuple(found)


def _names_of(row: RosterRow, people: set[PersonId]) -> str:
    places = row.places.filter(person_id__in=[p for p in people if p > 0]).select_related("person")
    names = {place.person_id: str(place.person) for place in places}
    named = [names[key] for key in sorted(names, key=lambda key: (names[key], key))]
    pupils = sum(1 for person in people if person < 0)
    if pupils:
        named.append(f"{pupils} of a class")
    return listed(named)


def _told_otherwise(row: RosterRow, printed: PublishedRoster, base_url: str) -> str:
    """Return who holds an invite that says another thing: time, place, task or crew."""
    known = {
        state.uid: state
        for state in InviteState.objects.filter(session_id=row.session_id, method=REQUEST)
    }
    changed = [
        invite.attendee_name
        for invite in build_invites(printed, sequence={}, base_url=base_url)
        if invite.uid in known and known[invite.uid].fingerprint != build_fingerprint(invite)
    ]
    return listed(changed)
