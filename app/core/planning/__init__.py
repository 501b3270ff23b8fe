"""Planning: which station does what when. This text is the model; the decoder builds by it, the checker proves by it.

The dataclasses are those of ``app.core.shop``; ``problem_file`` and ``result_file`` say how they look as JSON.

**Hours.** All times are whole seconds since the Unix epoch. The open seconds of a station's calendar are *attended*;
where the shop names its people, only those in which some crew's calendar is open too. In the *running* seconds of a
station its work goes on: the attended ones, and with ``over_closed`` "unattended" also up to ``unattended_s`` seconds
after each closing (of shifts and overtime, and of the crews, where people are named), never during a downtime, which
ends it: nobody is there to start the machine again. Work that ends exactly at closing ends then. What is closed for 400
days on end is closed for good.

**Run.** One stretch of one operation of a lot: so many pieces at one station. It starts in an attended second.
Set-up comes first and takes ``setup_s`` attended seconds; work follows at once and takes ``work_s`` running seconds;
between, it pauses. Where ``over_closed`` is "fit", set-up and work must end in the attended stretch in which the run
starts. Runs at one station do not overlap (but see pallets), nothing starts before ``now`` or before its lot's
``released``.

**Work** of n pieces after set-up, in milliseconds rounded up once to a second, with c = cycle_ms x 100 / pace rounded
up: *single* n c. *bar* n c + bars x bar_change_ms, where bars = n / pieces_per_bar rounded up. *batch* time_ms.
*pallet* with k = n / pieces loads, rounded up: at a station with one pallet k (load_ms + c + unload_ms). With two or
more, one tender loads and unloads while the other pallet is cut: load 1 is in the machine at in(1) = load_ms + change,
in(2) = in(1) + max(c, load_ms) + change, in(j) = in(j - 1) + max(c, unload_ms + load_ms) + change; the last load is
unloaded at in(k) + max(c + change, unload_ms if k > 1) + unload_ms, load j < k at in(j + 1) + unload_ms. Load 1 is
taken up at 0, load 2 at in(1), load j > 2 at in(j - 1) + unload_ms.

**Pallets with different parts.** At a station with two pallets or more a run of pallet loads that needs no set-up may
start while the run of pallet loads before it (which was not under way at ``now``) cuts its last load: not before the
tender is free, in(k) + unload_ms (in(1) when k = 1) after that run's work began, and only if its own load_ms, in
running seconds, are over when the last cutting ends, at in(k) + c (both rounded up to whole seconds). It then goes in
with the change that brings the other out, and its tender first unloads the other: its work counts from the second in
which that cutting ends, with in(1) = change, in(2) = in(1) + max(c, the other's unload_ms + load_ms) + change, the last
load unloaded at in(k) + max(c + change, unload_ms, or the other's when k = 1) + unload_ms, the tender free at
in(1) + the other's unload_ms when k = 1, the rest as above; piece 1 is taken up at its start, load 2 at in(1) + the
other's unload_ms. The run before keeps its times.

**Set-up** depends on the run that started before at the station (``set_up_for`` and ``set_up_fixture`` before the
first): none when both have the same ``family``, else ``fixture_setup_s`` (when given) when both have the same
``fixture``, else all of ``setup_s``. The empty text equals nothing.

**Stations.** Those of the operation's work center, or only the ``stations`` it names.

**Pieces.** ``waiting`` pieces are there from ``now``; ``counted`` ones are done; ``held`` ones, and all of a lot with a
``hold``, are left out. Pieces leave an operation all together when all that will come to it are done, the counted ones
with them; with ``send_ahead`` in transfers of so many of a run as they are done (the last one smaller), the counted
ones at ``now``; from a purchase likewise, delivery by delivery; runs under way of one shared ``load`` at its end.
A piece must be there when the run takes it up: pieces are taken up in the order in which they come: *single* and *bar*
piece i at i c (plus the bar changes up to its bar) after set-up, *pallet* when its load is taken up, *batch* at the
start. ``split`` s: no run has more than a s-th of the operation's pieces (those to come included), rounded up.

**Batches.** Runs with the same ``load`` at one station are one shared batch: same recipe, same time, set-up of the
first, all within the strictest of their bounds of pieces and of weight; the first of them in the plan says what set-up
it needs and whom it holds. A lot beyond one batch runs as several. What waits goes in by rank, each whole, until
nothing more fits. A batch begins as soon as it can, or waits, up to ``wait_s`` from when its first lot was ready (the
least of those in it; what is there at ``now`` was ready ``waited_s`` before), only for a lot already expected by then
that fits: one whose run before has begun, so that its time is known. It looks again when that or anything else comes.
Pieces sent ahead are ready as many together as one batch holds, the last ones of a run whatever they are.

**People.** A run holds ``tend_permille`` thousandths of a person from its start to its end, in the attended seconds of
its station; for pallet loads at least (load_ms + unload_ms) / (load_ms + unload_ms + c), rounded up. During its set-up
it needs one who sets up as well. A run that needs people starts only in a second in which, with it, the crews then open
have enough tenders and (when it has a set-up) setters for all runs that are attended then. A run whose station is
closed then does not count, but is left those whom it wants when the station is attended next: if the new run still
holds people in that second, its own station being attended (its share before its end, one who sets up before its set-up
is over), the crews then open have enough for it and for all runs begun by now that are attended then and not over:
tenders if the run left over the closing has a share too, setters if it is still set up too. Only that next opening of
each closed station is looked at; and crews that would not be enough for the new run alone then do not keep it from
starting, for a run once begun goes on when the next crew is smaller. Bar changes ask for nobody but the share. Jobs
under way hold theirs from ``now``.

**Outside.** *lead time*: back ``days`` later at the same wall-clock time, at the first open second of ``receiving``;
pieces sent out earlier (open jobs) that should be back already come at the next open second. *purchase*: deliveries
in the order of their times; pieces without one wait for an order.

**Components** and ``not_before``: no run of the operation starts before the time, or before the other lot is finished;
a key that is no lot of the shop counts as finished. Without a time, or where something is known to stand in the way of
the other lot, or of one that it waits for, or where lots wait for each other, what waits never goes on: it does not
count among what will come to the operations behind.

**Under way.** The open jobs of a station go on first, from ``now``, one load after another in the order of
``started_at``, with what is left of set-up (if ``in_setup``: ``needed_setup_s``, else all of ``setup_s``), in attended
seconds, then of work, in running seconds: both less ``worked_s``. It is the set-up and the work of their whole run,
whose first pieces are those ``counted``: piece n of the others is done when piece ``counted`` + n of the run is.
Without ``worked_s``, what the same hours have made of them since ``started_at`` is done: set-up in the attended
seconds, then work in the running ones, of one load after another: the hours are the next one's (of loads begun at once
the one with the better rank first) from when the whole of the one before was done, of a shared load the longest. So a
run of a plan, asked about later, ends when it was planned to end, also where pieces of it were counted meanwhile. They
pause, whatever ``over_closed``. Jobs of one ``load`` end together, with the longest.

**Dispatch.** A station that is free and attended takes, of the waiting operations that it could begin now, the one with
the lowest rank; of several such stations the one that would end it first, else the first in the shop's order. A station
looks past no more than 20 operations that it could not begin; those that it could begin at no hour, set up as it is, do
not count.

**Horizon.** A plan looks 3,660 days ahead: blanks expected later do not come, and what is not done by then has no open
hours.

**Infeasible is an answer**: a lot that cannot be planned to its end has a status and a reason, and no finish; what can
be done of it is planned, and so are the others. Where no station for an operation is ever attended by enough people at
once, for set-up and share together and in time for what must fit, it has no person; those who are not there for 400
days are gone for good. What must fit is the largest run of it that is still to begin: stations that could never hold
that do none of it. What fits, or has its people, only with less than all of its set-up is done while its station is set
up for it; whether that ever comes depends on the order, and where not, it is told.
"""
