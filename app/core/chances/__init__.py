"""The chance of being late: a shop's plan lived through again and again, each time with other luck.

In every replication the stations take the waiting work with the lowest rank, by the same ranks (``app.core.planning``);
what differs is drawn anew:

- **times**: set-up and work of each operation are those planned times a factor from its ``Spread``; loading is part of
  the work, pallet and bar changes are as planned. Batches of one recipe take the same. All times may have a factor in
  common. Work that must fit before closing is begun when what is planned fits; if it takes longer it pauses. What is
  under way takes in all longer than has been spent on it; work that has outlasted every factor of its spread has a
  tenth of a draw left.
- **scrap**: each piece that an operation does is lost there with its chance, independently; the last one never is (a
  lot that is lost whole is another lot's story). The lost ones take the operation's time and leave the later ones less.
  Pieces that are sent ahead lose evenly.
- **outside**: whole days late (or early), of work elsewhere and of deliveries. What is overdue already comes as late as
  one of those that were later still, or if none was, later by another draw and a day. No delivery overtakes another.
- **breakdowns**: after exponential attended time, for as long as a repair takes; nothing goes on meanwhile.
- **new orders**: a Poisson process of orders that nobody knows yet. Those that are rush go first, the others by their
  due dates, reckoned from when each is expected.

Nobody in a replication foresees its luck, with four exceptions: of two free stations the one that will end first is
taken; work that must fit before closing is not begun when a breakdown comes first; a batch may wait for a lot that
will come; people are left to what a closed station goes on with, as far as that and the new run will not be over.

The same seed and replication bring the same luck to an operation, whatever the ranks and the other lots: plans are
compared on the same draws. All draws are whole numbers, so that compiled and plain runs are the same.
"""
