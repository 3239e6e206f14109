import type { ColumnType, Generated } from 'kysely';

/**
 * The rows as they lie in the file: snake_case, the unit in the name, instants in integer milliseconds UTC,
 * dates as `2026-03-29`, flags 0 or 1, JSON as text. Only shelves see these; everybody else gets what a shelf returns.
 */

type Id = Generated<number>;
/** A column with a default in the schema that a shelf may leave out. */
type Defaulted<T> = ColumnType<T, T | undefined, T>;
/** Kept up by the schema itself; nothing writes it. */
type Derived<T> = ColumnType<T, never, never>;

export type RuleSet = 'US' | 'EU' | 'UK' | 'AU';
export type TempClass = 'freezer' | 'fridge' | 'room' | 'hot' | 'rail';
export type RecipeKind = 'ingredient' | 'drink';
export type BatchState = 'resting' | 'done' | 'binned';
/** `waiting`: the pots that go into it are not in yet. `dripping`: hung up and running through. */
export type StageState = 'waiting' | 'resting' | 'dripping' | 'done' | 'binned';
export type LotKind = 'house' | 'by-product' | 'opened';
/** What an entered integer counts: microlitres, milligrams, or thousandths of a piece. */
export type Measure = 'ul' | 'mg' | 'mpc';
export type EntryKind = 'bought' | 'made' | 'kept' | 'took' | 'used' | 'lost' | 'binned' | 'corrected' | 'given' | 'received';
export type ReminderState = 'waiting' | 'sending' | 'sent' | 'lapsed' | 'undeliverable';

export interface VenuesTable {
  id: Id;
  workspace_id: string;
  name: string;
  /** 1: the venue of every room that is bound to no other. */
  is_default: number;
  zone: string;
  ounce_ml: number;
  dash_ml: number;
  barspoon_ml: number;
  drop_ml: number | null;
  jigger_ml: number | null;
  bottle_ml: number | null;
  decimal_mark: string | null;
  units_shown: Defaulted<'ml' | 'oz'>;
  currency: Defaulted<string>;
  rule_set: Defaulted<RuleSet>;
  service_day_starts_min: Defaulted<number>;
  manager_roles: Defaulted<string>;
  ping_room_id: string | null;
  fallback_room_id: string | null;
  call_role_id: string | null;
  call_person_id: string | null;
  quiet_kinds: Defaulted<string>;
  asked_kinds: Defaulted<string>;
  assumptions_said: Defaulted<number>;
  next_code: Defaulted<number>;
  made_at: number;
}

export interface StaffedHoursTable {
  id: Id;
  venue_id: number;
  crew: string;
  weekday: number;
  from_min: number;
  to_min: number;
}

export interface RoomsTable {
  id: Id;
  venue_id: number;
  workspace_id: string;
  room_id: string;
}

export interface PlacesTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  temp_class: TempClass;
  class_guessed: number;
}

export interface IngredientsTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  composition: Defaulted<string>;
  density_g_per_ml: number | null;
  piece_mg: number | null;
  price_minor: number | null;
  price_entered: number | null;
  price_measure: Measure | null;
  allergens: string | null;
  needs_cold: number | null;
  opened_days: number | null;
}

export interface RecipesTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  kind: RecipeKind;
  price_minor: number | null;
  shelved_at: number | null;
  made_by: string;
  made_at: number;
}

export interface RecipeVersionsTable {
  id: Id;
  venue_id: number;
  recipe_id: number;
  number: number;
  name: string;
  folded: string;
  sheet: string;
  recipe: string;
  made_by: string;
  made_by_name: string;
  made_at: number;
}

export interface DraftsTable {
  id: Id;
  venue_id: number;
  author_id: string;
  kind: string;
  body: string;
  made_at: number;
  expires_at: number;
}

export interface BatchesTable {
  id: Id;
  venue_id: number;
  code: string;
  recipe_id: number | null;
  version_id: number | null;
  name: string;
  folded: string;
  recipe: string;
  factor_ratio: number;
  state: BatchState;
  place_id: number | null;
  room_id: string;
  started_at: number;
  started_by: string;
  started_by_name: string;
  owner_id: string | null;
  owner_name: string | null;
  day1: string | null;
  notes: Defaulted<string>;
  ended_at: number | null;
}

export interface StagesTable {
  id: Id;
  venue_id: number;
  batch_id: number;
  ordinal: number;
  part_index: number;
  part: string | null;
  from_step: number;
  to_step: number;
  verb: string;
  title: string;
  state: StageState;
  place_id: number | null;
  owner_id: string | null;
  owner_name: string | null;
  began_at: number | null;
  earliest_at: number | null;
  best_at: number | null;
  latest_at: number | null;
  latest_is: 'taste' | 'safety' | null;
  drip_began_at: number | null;
  expected_entered: number | null;
  expected_measure: Measure | null;
  expected: Defaulted<string>;
  got_entered: number | null;
  got_measure: Measure | null;
  got_mg: number | null;
  contents: string | null;
  done_at: number | null;
  done_by: string | null;
  done_by_name: string | null;
}

export interface StageJoinsTable {
  id: Id;
  venue_id: number;
  stage_id: number;
  from_stage_id: number;
  share: number;
}

export interface LotsTable {
  id: Id;
  venue_id: number;
  code: string;
  name: string;
  folded: string;
  kind: LotKind;
  recipe_id: number | null;
  batch_id: number | null;
  stage_id: number | null;
  place_id: number | null;
  measure: Measure;
  density_g_per_ml: number | null;
  piece_mg: number | null;
  is_estimate: Defaulted<number>;
  made_at: number;
  opened_at: number | null;
  printed_use_by: string | null;
  day1: string;
  use_by: string | null;
  use_by_set_by: string | null;
  use_by_basis: string | null;
  best_to: string | null;
  composition: string | null;
  allergens: string | null;
  cold_out_since_at: number | null;
  cold_out_used_ms: Defaulted<number>;
  held_at: number | null;
  held_why: string | null;
  /** Sum of the lot's entries in milligrams, kept by the schema. */
  left_mg: Derived<number>;
}

export interface LotSourcesTable {
  id: Id;
  venue_id: number;
  lot_id: number;
  from_lot_id: number;
}

export interface EntriesTable {
  id: Id;
  venue_id: number;
  lot_id: number | null;
  batch_id: number | null;
  stage_id: number | null;
  kind: EntryKind;
  mass_mg: number;
  entered: number;
  measure: Measure;
  is_count: Defaulted<number>;
  name: string | null;
  reason: string | null;
  at: number;
  by_id: string;
  by_name: string;
}

export interface ReadingsTable {
  id: Id;
  venue_id: number;
  batch_id: number | null;
  stage_id: number | null;
  lot_id: number | null;
  measure: string;
  value: number | null;
  note: string | null;
  at: number;
  by_id: string;
  by_name: string;
}

export interface RemindersTable {
  id: Id;
  venue_id: number;
  kind: string;
  occurrence: string;
  due_at: number;
  room_id: string;
  batch_id: number | null;
  stage_id: number | null;
  lot_id: number | null;
  plan_job_id: number | null;
  is_safety: Defaulted<number>;
  is_loose: Defaulted<number>;
  about: Defaulted<string>;
  state: Defaulted<ReminderState>;
  lease_until: number | null;
  post_key: string | null;
  message_id: string | null;
  posted_room_id: string | null;
  posted_at: number | null;
  failure: string | null;
}

export interface ActsTable {
  id: Id;
  venue_id: number;
  person_id: string;
  person_name: string;
  room_id: string;
  key: string;
  at: number;
  what: string;
  undone_at: number | null;
  undone_by: string | null;
}

/** One row changed by one act, as it was and as it became. Written by triggers only. */
export interface ChangesTable {
  id: Id;
  act_id: number;
  shelf: string;
  row_id: number;
  before: string | null;
  after: string | null;
}

/** Empty, or the one act whose transaction is open: what the triggers write changes under. */
export interface OpenActTable {
  id: number;
  act_id: number;
}

export interface SeenInteractionsTable {
  key: string;
  venue_id: number;
  at: number;
}

export interface ContainersTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  volume_ml: number;
}

export interface RunoutsTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  since_at: number;
  by_id: string;
  by_name: string;
  /** Null while there is none. */
  back_at: number | null;
}

/** `venue_id` offers; the other venue's lot stands in `taken_lot_id` once it is taken. */
export interface OffersTable {
  id: Id;
  venue_id: number;
  lot_id: number;
  mass_mg: number;
  at: number;
  by_id: string;
  by_name: string;
  closed_at: number | null;
  taken_venue_id: number | null;
  taken_lot_id: number | null;
}

export interface LooksTable {
  id: Id;
  venue_id: number;
  person_id: string;
  at: number;
}

export interface CrewsTable {
  id: Id;
  venue_id: number;
  crew: string;
  room_id: string | null;
  role_id: string | null;
  person_id: string | null;
}

/** Workspaces that the bot was taken out of. */
export interface DeparturesTable {
  workspace_id: string;
  left_at: number;
}

/** Erased venues, as their export, until they are forgotten. */
export interface ErasuresTable {
  id: Id;
  workspace_id: string;
  name: string;
  at: number;
  until_at: number;
  kept: Uint8Array;
}

export type PlanState = 'proposed' | 'started' | 'cancelled';

export interface PlansTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  at: number;
  guests: number | null;
  per_guest: number | null;
  spill_share: Defaulted<number>;
  state: PlanState;
  room_id: string;
  made_by: string;
  made_by_name: string;
  made_at: number;
}

export interface PlanNeedsTable {
  id: Id;
  venue_id: number;
  plan_id: number;
  recipe_id: number;
  serves: number | null;
  entered: number | null;
  measure: Measure | null;
  /** Serves that could still be poured when it was last worked out; null before the plan is started. */
  met: number | null;
}

export interface PlanJobsTable {
  id: Id;
  venue_id: number;
  plan_id: number;
  recipe_id: number;
  batch_no: number;
  quarters: number;
  step_no: number;
  title: string;
  crew: string;
  from_at: number;
  to_at: number;
  done_at: number | null;
  done_by_name: string | null;
  /** The batch it became. */
  batch_id: number | null;
  /** The plan was worked out anew without it. */
  dropped_at: number | null;
}

/** What changed in a plan that runs: why, and in lines as they were told. */
export interface PlanChangesTable {
  id: Id;
  venue_id: number;
  plan_id: number;
  at: number;
  why: string;
  lines: string;
  occurrence: string | null;
}

/** What a started plan takes of what is there: `source` is the code of the lot or batch. */
export interface PlanTakesTable {
  id: Id;
  venue_id: number;
  plan_id: number;
  source: string;
  mass_mg: number;
}

export interface ParsTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  entered: number;
  measure: Measure;
}

export interface PrepTicksTable {
  id: Id;
  venue_id: number;
  day: string;
  job: string;
  at: number;
  by_name: string;
}

export interface AlsoNamesTable {
  id: Id;
  venue_id: number;
  recipe_id: number;
  name: string;
  folded: string;
}

export interface HouseWordsTable {
  id: Id;
  venue_id: number;
  name: string;
  folded: string;
  means: string;
  means_folded: string;
}

export interface Tables {
  plans: PlansTable;
  plan_needs: PlanNeedsTable;
  plan_jobs: PlanJobsTable;
  plan_takes: PlanTakesTable;
  plan_changes: PlanChangesTable;
  pars: ParsTable;
  prep_ticks: PrepTicksTable;
  venues: VenuesTable;
  staffed_hours: StaffedHoursTable;
  rooms: RoomsTable;
  places: PlacesTable;
  ingredients: IngredientsTable;
  recipes: RecipesTable;
  recipe_versions: RecipeVersionsTable;
  also_names: AlsoNamesTable;
  house_words: HouseWordsTable;
  drafts: DraftsTable;
  batches: BatchesTable;
  stages: StagesTable;
  stage_joins: StageJoinsTable;
  lots: LotsTable;
  lot_sources: LotSourcesTable;
  entries: EntriesTable;
  readings: ReadingsTable;
  reminders: RemindersTable;
  acts: ActsTable;
  changes: ChangesTable;
  open_act: OpenActTable;
  seen_interactions: SeenInteractionsTable;
  crews: CrewsTable;
  departures: DeparturesTable;
  erasures: ErasuresTable;
  containers: ContainersTable;
  runouts: RunoutsTable;
  offers: OffersTable;
  looks: LooksTable;
}
