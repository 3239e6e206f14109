/** What a reminder can be about. */
export const REMINDER_KINDS = [
  'first-look',
  'nudge',
  'vent',
  'reading-due',
  'ready',
  'last-call',
  'overdue',
  'drip-through',
  'cool-check',
  'out-of-cold',
  'day-before',
  'last-day',
  'par-low',
  'morning',
  'handover',
  'timer',
] as const;
export type ReminderKind = (typeof REMINDER_KINDS)[number];

/** Kinds that a venue turns on and off, with the words for each. A timer is one person's, and stays on. */
export const PING_WORDS: Readonly<Partial<Record<ReminderKind, string>>> = {
  'first-look': 'a first taste',
  nudge: 'stir, turn, skim',
  vent: 'vent the ferment',
  'reading-due': 'pH and other readings due',
  ready: 'ready to strain, press or bottle',
  'last-call': 'window closing',
  overdue: 'overdue',
  'drip-through': 'should be through the drip',
  'cool-check': 'how cold is it, while it cools',
  'out-of-cold': 'out of the fridge for nearly 4 h',
  'day-before': 'use by tomorrow',
  'last-day': 'last day',
  'par-low': 'under par',
  morning: 'the morning line',
  handover: 'hand-over at each shift',
};

/** A matter of safety: turned off, these come as one line at the start of each shift and call nobody. */
export const SAFETY_KINDS: ReadonlySet<string> = new Set<ReminderKind>(['cool-check', 'out-of-cold', 'vent', 'last-day']);

/** What ends with a stage. What is cooling goes on cooling when it is strained. */
export const BUT_COOLING: readonly ReminderKind[] = REMINDER_KINDS.filter((kind) => kind !== 'cool-check');

/** A message at the same time every day, or every shift, comes only where somebody asked for it. */
export const ASKED_KINDS: ReadonlySet<string> = new Set<ReminderKind>(['morning', 'handover']);
