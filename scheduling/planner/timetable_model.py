"""The timetable as constraints: variables, then one method per rule.

Notation: s_i the start of step i in minutes, p_i its expected minutes, e_i = s_i + p_i its end.
The rules are posted once and serve two uses. ``TimetableModel`` holds them all, to find the best
plan. ``ClashModel`` gives each demand a switch, to find out which demands cannot hold together.
What is to be small is in ``timetable_goals.py``.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from scheduling.planner.problem import StationSpec, StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_network import Hold, Shared, pools_held, stations_held
from scheduling.planner.timetable_rules import Demand, TimetableRule, demands_of, tracked


class TimetableModel:
    """All hard rules of one problem on the start times of its steps and its meals."""

    def __init__(self, problem: TimetableProblem) -> None:
        self.problem = problem
        self.model = cp_model.CpModel()
        self.steps = {step.id: step for step in problem.steps}
        self.starts = {step.id: self._start(step) for step in problem.steps} | {
            meal.id: self.model.new_int_var(meal.earliest, meal.latest, f"start of {meal.id}")
            for meal in problem.meals
        }
        choosing = {
            hold.step for shared in stations_held(problem) for hold in shared.holds if hold.at
        }
        self.places = {
            step.id: self._place(step) if step.id in choosing else {} for step in problem.steps
        }
        self.has_turns = False  # whether some station takes one step after another
        self._intervals: dict[object, cp_model.IntervalVar] = {}
        self._keep_windows()
        self._keep_openings()
        self._keep_breaks()
        self._keep_meals()
        self._keep_pins()
        self._keep_least_gaps()
        self._keep_most_gaps()
        self._keep_stations()
        self._keep_set_ups_between()
        self._keep_tracks()
        self._keep_pools()

    # --- variables ----------------------------------------------------------------------

    def _start(self, step: StepSpec) -> cp_model.IntVar:
        room = self._range(step)
        return self.model.new_int_var(room.start, room.end, f"start of {step.id}")

    def _place(self, step: StepSpec) -> dict[str, cp_model.LiteralT]:
        """A literal for each station where a step may be done; one of them is true.

        Stations alike need no choice here: which of them a step gets can be settled afterwards.
        """
        literals: dict[str, cp_model.LiteralT] = {
            station: self.model.new_bool_var(f"{step.id} at {station}") for station in step.stations
        }
        self.model.add_exactly_one(literals.values())
        return literals

    def _range(self, step: StepSpec) -> Window:
        """The stretch in which a step starts, before any rule."""
        return Window(
            start=min(window.start for window in step.windows),
            end=max(window.end for window in step.windows),
        )

    def end(self, step: str) -> cp_model.LinearExpr:
        """e_i as the solver sees it."""
        return self.starts[step] + self.steps[step].expected_min

    def _switch(self, rule: TimetableRule, case: int) -> cp_model.IntVar | None:
        """The literal under which a case of a rule holds; None where it always does."""
        return None

    def _post(
        self,
        constraint: cp_model.Constraint,
        rule: TimetableRule,
        case: int,
        *also: cp_model.LiteralT,
    ) -> None:
        switch = self._switch(rule, case)
        literals = [*also] if switch is None else [*also, switch]
        if literals:
            constraint.only_enforce_if(literals)

    # --- rules --------------------------------------------------------------------------

    def _keep_windows(self) -> None:
        """An attended step lies wholly inside one of its windows; an unattended starts in one."""
        for case, step in enumerate(self.problem.steps):
            within = self._inside(step, step.windows)
            self._post(within, TimetableRule.WINDOW, case)

    def _inside(self, step: StepSpec, windows: tuple[Window, ...]) -> cp_model.Constraint:
        reach = 0 if step.unattended else step.expected_min
        spans = [[window.start, window.end - reach] for window in windows]
        inside = cp_model.Domain.from_intervals([span for span in spans if span[0] <= span[1]])
        return self.model.add_linear_expression_in_domain(self.starts[step.id], inside)

    def _keep_openings(self) -> None:
        """A station is used in its hours only: daylight, dry weather."""
        for case, station in enumerate(self.problem.stations):
            for step in self.problem.steps if station.windows else ():
                if station.id in step.stations:
                    here = self.places[step.id].get(station.id)
                    inside = self._inside(step, station.windows)
                    self._post(inside, TimetableRule.OPEN, case, *([] if here is None else [here]))

    def _keep_breaks(self) -> None:
        """No attended step overlaps a break."""
        for case, pause in enumerate(self.problem.breaks):
            for step in self.problem.steps:
                if not step.unattended:
                    during = cp_model.Domain(pause.start - step.expected_min + 1, pause.end - 1)
                    outside = self.model.add_linear_expression_in_domain(
                        self.starts[step.id], during.complement()
                    )
                    self._post(outside, TimetableRule.BREAK, case)

    def _keep_meals(self) -> None:
        """No attended step overlaps a meal that may move: each is wholly before or after it."""
        for case, meal in enumerate(self.problem.meals):
            span = Window(start=meal.earliest, end=meal.latest + meal.minutes)
            for step in self.problem.steps:
                if not step.unattended and self._may_meet(step, span):
                    before = self.model.new_bool_var(f"{step.id} before {meal.id}")
                    ends = self.end(step.id) <= self.starts[meal.id]
                    begins = self.starts[step.id] >= self.starts[meal.id] + meal.minutes
                    self._post(self.model.add(ends), TimetableRule.MEAL, case, before)
                    self._post(self.model.add(begins), TimetableRule.MEAL, case, ~before)

    def _may_meet(self, step: StepSpec, span: Window) -> bool:
        room = self._range(step)
        return room.start < span.end and span.start < room.end + step.expected_min

    def _keep_pins(self) -> None:
        """A step with a fixed start starts then."""
        for case, step in enumerate(self.problem.steps):
            if step.pinned_start is not None:
                fixed = self.model.add(self.starts[step.id] == step.pinned_start)
                self._post(fixed, TimetableRule.PIN, case)

    def _keep_least_gaps(self) -> None:
        """The later step starts at least the least gap after the earlier one ends."""
        for case, gap in enumerate(self.problem.gaps):
            waits = self.starts[gap.after] >= self.end(gap.before) + gap.least_min
            self._post(self.model.add(waits), TimetableRule.GAP_LEAST, case)

    def _keep_most_gaps(self) -> None:
        """The later step starts at most the longest gap after the earlier one ends.

        An unattended earlier step may last up to its most, so the end it is counted from may be
        that much later.
        """
        for case, gap in enumerate(self.problem.gaps):
            if gap.most_min is not None:
                most = gap.most_min + self.steps[gap.before].stretch_min
                follows = self.starts[gap.after] <= self.end(gap.before) + most
                self._post(self.model.add(follows), TimetableRule.GAP_MOST, case)

    def _keep_stations(self) -> None:
        """A station holds so many steps at once, and sets up anew after each where it must."""
        for station in stations_held(self.problem):
            if station.capacity >= len(station.holds):
                continue  # never short
            intervals = self._stretches(station, TimetableRule.STATION)
            if station.capacity == 1:
                self.has_turns = True
                self.model.add_no_overlap(intervals)
            else:
                self.model.add_cumulative(intervals, [1] * len(intervals), station.capacity)

    def _keep_set_ups_between(self) -> None:
        """Where set-ups differ by pairs, each step waits for the one from its forerunner.

        The order at the station is a circuit through its steps and one node for "nobody": an arc
        i -> j says that j is the next after i.
        """
        for case, station in enumerate(self.problem.stations):
            users = [step for step in self.problem.steps if station.id in step.stations]
            if not station.set_up_between or len(users) < 2:
                continue
            arcs: list[tuple[int, int, cp_model.LiteralT]] = []
            for i, step in enumerate(users, start=1):
                arcs.append((0, i, self.model.new_bool_var(f"{step.id} first")))
                arcs.append((i, 0, self.model.new_bool_var(f"{step.id} last")))
                here = self.places[step.id].get(station.id)
                if here is not None:
                    arcs.append((i, i, ~here))
            arcs += self._successions(case, station, users)
            if any(self.places[step.id] for step in users):
                arcs.append((0, 0, self.model.new_bool_var(f"{station.id} unused")))
            self.model.add_circuit(arcs)

    def _successions(
        self, case: int, station: StationSpec, users: list[StepSpec]
    ) -> list[tuple[int, int, cp_model.LiteralT]]:
        arcs: list[tuple[int, int, cp_model.LiteralT]] = []
        for i, former in enumerate(users, start=1):
            for j, latter in enumerate(users, start=1):
                if i == j:
                    continue
                follows = self.model.new_bool_var(f"{latter.id} after {former.id}")
                arcs.append((i, j, follows))
                pause = station.set_up(former.id, latter.id)
                for moment in self._lets_go(former):
                    waits = self.model.add(self.starts[latter.id] >= moment + pause)
                    self._post(waits, TimetableRule.STATION, case, follows)
        return arcs

    def _lets_go(self, step: StepSpec) -> list[cp_model.LinearExprT]:
        """The moments after which a step is over and its carcass taken."""
        taken = (gap for gap in self.problem.gaps if gap.keeps_place and gap.before == step.id)
        return [self.end(step.id), *(self.starts[gap.after] for gap in taken)]

    def _keep_tracks(self) -> None:
        """The steps of one hog that may go to stations of several tracks go to those of one."""
        tracks = {station.id: station.track for station in self.problem.stations}
        for case, subject in enumerate(tracked(self.problem)):
            chosen: dict[str, cp_model.IntVar] = {}
            for step in self.problem.steps:
                here = self.places[step.id] or {step.station: True}
                for station, literal in here.items() if step.subject == subject else ():
                    track = tracks[station]
                    if track and track not in chosen:
                        chosen[track] = self.model.new_bool_var(f"{subject} in {track}")
                    if track:
                        goes = self.model.add_implication(literal, chosen[track])
                        self._post(goes, TimetableRule.TRACK, case)
            self._post(self.model.add_at_most_one(chosen.values()), TimetableRule.TRACK, case)

    def _keep_pools(self) -> None:
        """The steps under way, and those just ended that still rest, fit in each pool."""
        for pool in pools_held(self.problem):
            if not pool.away and sum(hold.amount for hold in pool.holds) <= pool.capacity:
                continue  # never short
            intervals, amounts = self.pool_use(pool)
            self.model.add_cumulative(intervals, amounts, pool.capacity)

    def pool_use(self, pool: Shared) -> tuple[list[cp_model.IntervalVar], list[int]]:
        """The stretches in which a pool is used, and how much of it."""
        intervals = self._stretches(pool, TimetableRule.POOL)
        amounts = [hold.amount for hold in pool.holds]
        switch = self._switch(TimetableRule.POOL, pool.case)
        for window, amount in pool.away:
            intervals.append(
                self.model.new_optional_fixed_size_interval_var(
                    window.start,
                    window.end - window.start,
                    True if switch is None else switch,
                    f"away from {pool.id}",
                )
            )
            amounts.append(amount)
        return intervals, amounts

    def _stretches(self, shared: Shared, rule: TimetableRule) -> list[cp_model.IntervalVar]:
        """One stretch per hold; where the demand is off, the stretches are absent."""
        switch = self._switch(rule, shared.case)
        found = []
        for hold in shared.holds:
            key = (hold.step, hold.ends, hold.at, None if switch is None else switch.index)
            if key not in self._intervals:
                self._intervals[key] = self._stretch(hold, switch)
            found.append(self._intervals[key])
        return found

    def _stretch(self, hold: Hold, switch: cp_model.IntVar | None) -> cp_model.IntervalVar:
        start = self.starts[hold.step]
        present = self._present(hold, switch)
        if hold.ends == ((hold.step, hold.minutes),):
            return self.model.new_optional_fixed_size_interval_var(
                start, hold.minutes, present, f"held by {hold.step}"
            )
        rooms = [(self._range(self.steps[step]), minutes) for step, minutes in hold.ends]
        last = max(room.end + minutes for room, minutes in rooms)
        first = self._range(self.steps[hold.step])
        end = self.model.new_int_var(first.start, max(first.start, last), f"{hold.step} lets go")
        size = self.model.new_int_var(0, max(0, last - first.start), f"{hold.step} holds for")
        for anchor, minutes in hold.ends:
            self.model.add(end >= self.starts[anchor] + minutes)
        return self.model.new_optional_interval_var(
            start, size, end, present, f"held by {hold.step}"
        )

    def _present(self, hold: Hold, switch: cp_model.IntVar | None) -> cp_model.LiteralT:
        here = self.places[hold.step].get(hold.at)
        if here is None:
            return True if switch is None else switch
        if switch is None:
            return here
        both = self.model.new_bool_var(f"{hold.step} counts at {hold.at}")
        self.model.add_bool_and([here, switch]).only_enforce_if(both)
        self.model.add_bool_or([~here, ~switch, both])
        return both


class ClashModel(TimetableModel):
    """The same rules, each demand under a switch that a search may assume or leave off."""

    def __init__(self, problem: TimetableProblem) -> None:
        self._room = _room(problem)
        demands = demands_of(problem)
        self._demands = {(one.rule, case): one for one in demands for case in one.cases}
        self.switches: dict[Demand, cp_model.IntVar] = {}
        super().__init__(problem)
        for demand in demands:  # a demand that binds nothing has no switch yet
            self._switch(demand.rule, demand.cases[0])

    def _range(self, step: StepSpec) -> Window:
        return self._room

    def _switch(self, rule: TimetableRule, case: int) -> cp_model.IntVar | None:
        demand = self._demands[rule, case]
        if demand not in self.switches:
            self.switches[demand] = self.model.new_bool_var(f"{rule} {demand.cases}")
        return self.switches[demand]


def _room(problem: TimetableProblem) -> Window:
    """A stretch so long that its ends alone never cause a clash.

    All windows, and on both sides room for every step, hold and gap one after another.
    """
    windows = [window for step in problem.steps for window in step.windows]
    things = (*stations_held(problem), *pools_held(problem))
    holds = sum(
        abs(minutes) for thing in things for hold in thing.holds for _, minutes in hold.ends
    )
    holds += sum(step.expected_min + step.stretch_min for step in problem.steps)
    set_ups = sum(sum(station.set_up_between.values()) for station in problem.stations)
    gaps = sum(abs(gap.least_min) + abs(gap.most_min or 0) for gap in problem.gaps)
    pauses = [(pause.start, pause.end) for pause in problem.breaks]
    pauses += [(meal.earliest, meal.latest + meal.minutes) for meal in problem.meals]
    pauses += [(one.window.start, one.window.end) for pool in problem.pools for one in pool.away]
    spare = holds + gaps + set_ups + sum(end - start for start, end in pauses)
    pins = [step.pinned_start for step in problem.steps if step.pinned_start is not None]
    first = min([window.start for window in windows] + pins)
    last = max([window.end for window in windows] + pins)
    return Window(start=first - spare, end=last + spare)
