CREATE INDEX acts_at ON acts (venue_id, at);
CREATE INDEX acts_newest ON acts (venue_id, id);
CREATE INDEX acts_person ON acts (venue_id, person_id, id) WHERE undone_at IS NULL;
CREATE INDEX acts_undone ON acts (venue_id, undone_at) WHERE undone_at IS NOT NULL;
CREATE INDEX also_names_recipe ON also_names (recipe_id);
CREATE INDEX batches_open ON batches (venue_id) WHERE state = 'resting';
CREATE INDEX batches_recipe ON batches (recipe_id);
CREATE INDEX changes_act ON changes (act_id);
CREATE INDEX changes_row ON changes (shelf, row_id);
CREATE INDEX drafts_expiry ON drafts (expires_at);
CREATE INDEX entries_at ON entries (venue_id, at);
CREATE INDEX entries_batch ON entries (batch_id) WHERE batch_id IS NOT NULL;
CREATE INDEX entries_lot ON entries (lot_id);
CREATE INDEX erasures_until ON erasures (until_at);
CREATE INDEX lot_sources_from ON lot_sources (from_lot_id);
CREATE INDEX lots_batch ON lots (batch_id);
CREATE INDEX lots_left ON lots (venue_id, use_by) WHERE left_mg > 0;
CREATE INDEX lots_name ON lots (venue_id, folded) WHERE left_mg > 0;
CREATE INDEX lots_stage ON lots (stage_id);
CREATE INDEX offers_lot ON offers (lot_id);
CREATE INDEX offers_open ON offers (venue_id) WHERE closed_at IS NULL;
CREATE INDEX offers_taken ON offers (taken_lot_id) WHERE taken_lot_id IS NOT NULL;
CREATE INDEX plan_changes_plan ON plan_changes (venue_id, plan_id);
CREATE INDEX plan_jobs_batch ON plan_jobs (batch_id) WHERE batch_id IS NOT NULL;
CREATE INDEX plan_jobs_open ON plan_jobs (venue_id, from_at) WHERE done_at IS NULL;
CREATE INDEX plan_takes_plan ON plan_takes (venue_id, plan_id);
CREATE INDEX plans_at ON plans (venue_id, at);
CREATE INDEX readings_batch ON readings (batch_id) WHERE batch_id IS NOT NULL;
CREATE INDEX readings_lot ON readings (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX recipe_versions_name ON recipe_versions (venue_id, folded);
CREATE INDEX reminders_batch ON reminders (batch_id) WHERE batch_id IS NOT NULL;
CREATE INDEX reminders_failed ON reminders (venue_id) WHERE state = 'undeliverable';
CREATE INDEX reminders_lot ON reminders (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX reminders_message ON reminders (message_id) WHERE message_id IS NOT NULL;
CREATE INDEX reminders_plan_job ON reminders (plan_job_id) WHERE plan_job_id IS NOT NULL;
CREATE INDEX reminders_post ON reminders (post_key) WHERE state = 'sending';
CREATE INDEX reminders_sending ON reminders (lease_until) WHERE state = 'sending';
CREATE INDEX reminders_stage ON reminders (stage_id) WHERE stage_id IS NOT NULL;
CREATE INDEX reminders_timer ON reminders (venue_id, due_at) WHERE state = 'waiting' AND kind = 'timer';
CREATE INDEX reminders_waiting ON reminders (due_at) WHERE state = 'waiting';
CREATE INDEX rooms_venue ON rooms (venue_id);
CREATE UNIQUE INDEX runouts_now ON runouts (venue_id, folded) WHERE back_at IS NULL;
CREATE INDEX seen_interactions_at ON seen_interactions (at);
CREATE INDEX staffed_hours_venue ON staffed_hours (venue_id);
CREATE INDEX stage_joins_from ON stage_joins (from_stage_id);
CREATE INDEX stages_open ON stages (venue_id, best_at) WHERE state IN ('waiting', 'resting', 'dripping');
CREATE UNIQUE INDEX venues_default ON venues (workspace_id) WHERE is_default = 1;
CREATE INDEX venues_workspace ON venues (workspace_id);
CREATE TABLE acts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    person_id TEXT NOT NULL,
    person_name TEXT NOT NULL,
    room_id TEXT NOT NULL,
    key TEXT NOT NULL,
    at INTEGER NOT NULL,
    what TEXT NOT NULL,
    undone_at INTEGER,
    undone_by TEXT
  ) STRICT;
CREATE TABLE also_names (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    recipe_id INTEGER NOT NULL,
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    UNIQUE (venue_id, folded),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT;
CREATE TABLE batches (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    code TEXT NOT NULL CHECK (code <> ''),
    recipe_id INTEGER,
    version_id INTEGER,
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL,
    recipe TEXT NOT NULL CHECK (json_valid(recipe)),
    factor_ratio REAL NOT NULL CHECK (factor_ratio > 0),
    state TEXT NOT NULL CHECK (state IN ('resting', 'done', 'binned')),
    place_id INTEGER,
    room_id TEXT NOT NULL,
    started_at INTEGER NOT NULL,
    started_by TEXT NOT NULL,
    started_by_name TEXT NOT NULL,
    owner_id TEXT,
    owner_name TEXT,
    day1 TEXT CHECK (day1 GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    notes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(notes)),
    ended_at INTEGER,
    UNIQUE (venue_id, code),
    UNIQUE (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id),
    FOREIGN KEY (venue_id, version_id) REFERENCES recipe_versions (venue_id, id),
    FOREIGN KEY (venue_id, place_id) REFERENCES places (venue_id, id)
  ) STRICT;
CREATE TABLE changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    act_id INTEGER NOT NULL REFERENCES acts (id) ON DELETE CASCADE,
    shelf TEXT NOT NULL,
    row_id INTEGER NOT NULL,
    before TEXT,
    after TEXT,
    CHECK (before IS NOT NULL OR after IS NOT NULL)
  ) STRICT;
CREATE TABLE containers (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    volume_ml REAL NOT NULL CHECK (volume_ml BETWEEN 10 AND 2000000),
    UNIQUE (venue_id, folded)
  ) STRICT;
CREATE TABLE crews (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    crew TEXT NOT NULL CHECK (crew <> ''),
    room_id TEXT,
    role_id TEXT,
    person_id TEXT,
    UNIQUE (venue_id, crew)
  ) STRICT;
CREATE TABLE departures (
    workspace_id TEXT PRIMARY KEY NOT NULL CHECK (workspace_id <> ''),
    left_at INTEGER NOT NULL
  ) STRICT, WITHOUT ROWID;
CREATE TABLE drafts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    author_id TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind <> ''),
    body TEXT NOT NULL CHECK (json_valid(body)),
    made_at INTEGER NOT NULL,
    expires_at INTEGER NOT NULL CHECK (expires_at > made_at)
  ) STRICT;
CREATE TABLE entries (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    lot_id INTEGER,
    batch_id INTEGER,
    stage_id INTEGER,
    kind TEXT NOT NULL CHECK (kind IN ('bought', 'made', 'kept', 'took', 'used', 'lost', 'binned', 'corrected', 'given', 'received')),
    mass_mg INTEGER NOT NULL,
    entered INTEGER NOT NULL,
    measure TEXT NOT NULL CHECK (measure IN ('ul', 'mg', 'mpc')),
    is_count INTEGER NOT NULL DEFAULT 0 CHECK (is_count IN (0, 1)),
    name TEXT,
    reason TEXT,
    at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    CHECK (lot_id IS NOT NULL OR batch_id IS NOT NULL),
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id),
    FOREIGN KEY (venue_id, batch_id) REFERENCES batches (venue_id, id),
    FOREIGN KEY (venue_id, stage_id) REFERENCES stages (venue_id, id)
  ) STRICT;
CREATE TABLE erasures (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    workspace_id TEXT NOT NULL CHECK (workspace_id <> ''),
    name TEXT NOT NULL,
    at INTEGER NOT NULL,
    until_at INTEGER NOT NULL CHECK (until_at > at),
    kept BLOB NOT NULL
  ) STRICT;
CREATE TABLE house_words (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    means TEXT NOT NULL CHECK (means <> ''),
    means_folded TEXT NOT NULL CHECK (means_folded <> '' AND means_folded <> folded),
    UNIQUE (venue_id, folded)
  ) STRICT;
CREATE TABLE ingredients (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    composition TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(composition)),
    density_g_per_ml REAL CHECK (density_g_per_ml BETWEEN 0.1 AND 25),
    piece_mg INTEGER CHECK (piece_mg > 0),
    price_minor INTEGER CHECK (price_minor >= 0),
    price_entered INTEGER CHECK (price_entered > 0),
    price_measure TEXT CHECK (price_measure IN ('ul', 'mg', 'mpc')),
    allergens TEXT CHECK (json_valid(allergens)),
    needs_cold INTEGER CHECK (needs_cold IN (0, 1)),
    opened_days INTEGER CHECK (opened_days BETWEEN 1 AND 3650),
    UNIQUE (venue_id, folded),
    CHECK ((price_minor IS NULL) = (price_entered IS NULL) AND (price_minor IS NULL) = (price_measure IS NULL))
  ) STRICT;
CREATE TABLE looks (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    person_id TEXT NOT NULL CHECK (person_id <> ''),
    at INTEGER NOT NULL,
    UNIQUE (venue_id, person_id)
  ) STRICT;
CREATE TABLE lot_sources (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    lot_id INTEGER NOT NULL,
    from_lot_id INTEGER NOT NULL,
    UNIQUE (lot_id, from_lot_id),
    CHECK (lot_id <> from_lot_id),
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id) ON DELETE CASCADE,
    FOREIGN KEY (venue_id, from_lot_id) REFERENCES lots (venue_id, id)
  ) STRICT;
CREATE TABLE lots (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    code TEXT NOT NULL CHECK (code <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('house', 'by-product', 'opened')),
    recipe_id INTEGER,
    batch_id INTEGER,
    stage_id INTEGER,
    place_id INTEGER,
    measure TEXT NOT NULL CHECK (measure IN ('ul', 'mg', 'mpc')),
    density_g_per_ml REAL CHECK (density_g_per_ml BETWEEN 0.1 AND 25),
    piece_mg INTEGER CHECK (piece_mg > 0),
    is_estimate INTEGER NOT NULL DEFAULT 0 CHECK (is_estimate IN (0, 1)),
    made_at INTEGER NOT NULL,
    opened_at INTEGER,
    printed_use_by TEXT CHECK (printed_use_by GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    day1 TEXT NOT NULL CHECK (day1 GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    use_by TEXT CHECK (use_by GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    use_by_set_by TEXT,
    use_by_basis TEXT,
    best_to TEXT CHECK (best_to GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    composition TEXT CHECK (json_valid(composition)),
    allergens TEXT CHECK (json_valid(allergens)),
    cold_out_since_at INTEGER,
    cold_out_used_ms INTEGER NOT NULL DEFAULT 0 CHECK (cold_out_used_ms >= 0),
    held_at INTEGER,
    held_why TEXT,
    left_mg INTEGER NOT NULL DEFAULT 0 CHECK (left_mg >= 0),
    UNIQUE (venue_id, code),
    CHECK (measure <> 'ul' OR density_g_per_ml IS NOT NULL),
    CHECK (measure <> 'mpc' OR piece_mg IS NOT NULL),
    CHECK (best_to IS NULL OR use_by IS NULL OR best_to <= use_by),
    UNIQUE (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id),
    FOREIGN KEY (venue_id, batch_id) REFERENCES batches (venue_id, id),
    FOREIGN KEY (venue_id, stage_id) REFERENCES stages (venue_id, id),
    FOREIGN KEY (venue_id, place_id) REFERENCES places (venue_id, id)
  ) STRICT;
CREATE TABLE offers (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    lot_id INTEGER NOT NULL,
    mass_mg INTEGER NOT NULL CHECK (mass_mg > 0),
    at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    closed_at INTEGER,
    taken_venue_id INTEGER,
    taken_lot_id INTEGER,
    CHECK ((taken_venue_id IS NULL) = (taken_lot_id IS NULL)),
    CHECK (taken_venue_id IS NULL OR closed_at IS NOT NULL),
    CHECK (taken_venue_id IS NULL OR taken_venue_id <> venue_id),
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id),
    FOREIGN KEY (taken_venue_id, taken_lot_id) REFERENCES lots (venue_id, id)
  ) STRICT;
CREATE TABLE open_act (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    act_id INTEGER NOT NULL REFERENCES acts (id)
  ) STRICT;
CREATE TABLE pars (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL,
    entered INTEGER NOT NULL CHECK (entered > 0),
    measure TEXT NOT NULL CHECK (measure IN ('ul', 'mg', 'mpc')),
    UNIQUE (venue_id, folded)
  ) STRICT;
CREATE TABLE places (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    temp_class TEXT NOT NULL CHECK (temp_class IN ('freezer', 'fridge', 'room', 'hot', 'rail')),
    class_guessed INTEGER NOT NULL CHECK (class_guessed IN (0, 1)),
    UNIQUE (venue_id, folded),
    UNIQUE (venue_id, id)
  ) STRICT;
CREATE TABLE plan_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    at INTEGER NOT NULL,
    why TEXT NOT NULL CHECK (why <> ''),
    lines TEXT NOT NULL CHECK (json_type(lines) = 'array'),
    occurrence TEXT,
    UNIQUE (venue_id, occurrence),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id)
  ) STRICT;
CREATE TABLE plan_jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    recipe_id INTEGER NOT NULL,
    batch_no INTEGER NOT NULL CHECK (batch_no >= 0),
    quarters INTEGER NOT NULL CHECK (quarters >= 1),
    step_no INTEGER NOT NULL CHECK (step_no >= 0),
    title TEXT NOT NULL CHECK (title <> ''),
    crew TEXT NOT NULL,
    from_at INTEGER NOT NULL,
    to_at INTEGER NOT NULL CHECK (to_at > from_at),
    done_at INTEGER,
    done_by_name TEXT, batch_id INTEGER REFERENCES batches (id), dropped_at INTEGER,
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT;
CREATE TABLE plan_needs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    recipe_id INTEGER NOT NULL,
    serves INTEGER CHECK (serves BETWEEN 1 AND 1000000),
    entered INTEGER CHECK (entered > 0),
    measure TEXT CHECK (measure IN ('ul', 'mg', 'mpc')), met INTEGER CHECK (met >= 0),
    UNIQUE (plan_id, recipe_id),
    CHECK ((entered IS NULL) = (measure IS NULL)),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT;
CREATE TABLE plan_takes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    source TEXT NOT NULL CHECK (source <> ''),
    mass_mg INTEGER NOT NULL CHECK (mass_mg > 0),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id)
  ) STRICT;
CREATE TABLE plans (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL,
    at INTEGER NOT NULL,
    guests INTEGER CHECK (guests BETWEEN 1 AND 100000),
    per_guest REAL CHECK (per_guest > 0 AND per_guest <= 50),
    spill_share REAL NOT NULL DEFAULT 0 CHECK (spill_share BETWEEN 0 AND 1),
    state TEXT NOT NULL CHECK (state IN ('proposed', 'started', 'cancelled')),
    room_id TEXT NOT NULL,
    made_by TEXT NOT NULL,
    made_by_name TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    UNIQUE (venue_id, id)
  ) STRICT;
CREATE TABLE prep_ticks (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    day TEXT NOT NULL CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    job TEXT NOT NULL CHECK (job <> ''),
    at INTEGER NOT NULL,
    by_name TEXT NOT NULL,
    UNIQUE (venue_id, day, job)
  ) STRICT;
CREATE TABLE readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    batch_id INTEGER,
    stage_id INTEGER,
    lot_id INTEGER,
    measure TEXT NOT NULL CHECK (measure <> ''),
    value REAL,
    note TEXT,
    at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    CHECK (batch_id IS NOT NULL OR lot_id IS NOT NULL),
    CHECK (value IS NOT NULL OR note IS NOT NULL),
    FOREIGN KEY (venue_id, batch_id) REFERENCES batches (venue_id, id),
    FOREIGN KEY (venue_id, stage_id) REFERENCES stages (venue_id, id),
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id)
  ) STRICT;
CREATE TABLE recipe_versions (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    recipe_id INTEGER NOT NULL,
    number INTEGER NOT NULL CHECK (number >= 1),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    sheet TEXT NOT NULL,
    recipe TEXT NOT NULL CHECK (json_valid(recipe)),
    made_by TEXT NOT NULL,
    made_by_name TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    UNIQUE (recipe_id, number),
    UNIQUE (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT;
CREATE TABLE recipes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('ingredient', 'drink')),
    price_minor INTEGER CHECK (price_minor >= 0),
    shelved_at INTEGER,
    made_by TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    UNIQUE (venue_id, folded),
    UNIQUE (venue_id, id)
  ) STRICT;
CREATE TABLE reminders (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    kind TEXT NOT NULL CHECK (kind <> ''),
    occurrence TEXT NOT NULL UNIQUE CHECK (occurrence <> ''),
    due_at INTEGER NOT NULL,
    room_id TEXT NOT NULL,
    batch_id INTEGER,
    stage_id INTEGER,
    lot_id INTEGER,
    is_safety INTEGER NOT NULL DEFAULT 0 CHECK (is_safety IN (0, 1)),
    is_loose INTEGER NOT NULL DEFAULT 0 CHECK (is_loose IN (0, 1)),
    about TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(about)),
    state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sending', 'sent', 'lapsed', 'undeliverable')),
    lease_until INTEGER,
    post_key TEXT,
    message_id TEXT,
    posted_room_id TEXT,
    posted_at INTEGER,
    failure TEXT, plan_job_id INTEGER REFERENCES plan_jobs (id),
    CHECK (state <> 'sending' OR (lease_until IS NOT NULL AND post_key IS NOT NULL)),
    CHECK (state <> 'sent' OR message_id IS NOT NULL),
    FOREIGN KEY (venue_id, batch_id) REFERENCES batches (venue_id, id) ON DELETE CASCADE,
    FOREIGN KEY (venue_id, stage_id) REFERENCES stages (venue_id, id) ON DELETE CASCADE,
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id) ON DELETE CASCADE
  ) STRICT;
CREATE TABLE rooms (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    workspace_id TEXT NOT NULL,
    room_id TEXT NOT NULL UNIQUE
  ) STRICT;
CREATE TABLE runouts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    since_at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    back_at INTEGER CHECK (back_at >= since_at)
  ) STRICT;
CREATE TABLE seen_interactions (
    key TEXT PRIMARY KEY NOT NULL CHECK (key <> ''),
    venue_id INTEGER NOT NULL,
    at INTEGER NOT NULL
  ) STRICT, WITHOUT ROWID;
CREATE TABLE staffed_hours (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    crew TEXT NOT NULL CHECK (crew <> ''),
    weekday INTEGER NOT NULL CHECK (weekday BETWEEN 1 AND 7),
    from_min INTEGER NOT NULL CHECK (from_min BETWEEN 0 AND 1439),
    to_min INTEGER NOT NULL CHECK (to_min > from_min AND to_min <= from_min + 1440)
  ) STRICT;
CREATE TABLE stage_joins (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    stage_id INTEGER NOT NULL,
    from_stage_id INTEGER NOT NULL,
    share REAL NOT NULL CHECK (share > 0 AND share <= 1),
    UNIQUE (stage_id, from_stage_id),
    FOREIGN KEY (venue_id, stage_id) REFERENCES stages (venue_id, id) ON DELETE CASCADE,
    FOREIGN KEY (venue_id, from_stage_id) REFERENCES stages (venue_id, id) ON DELETE CASCADE
  ) STRICT;
CREATE TABLE stages (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    batch_id INTEGER NOT NULL,
    ordinal INTEGER NOT NULL CHECK (ordinal >= 0),
    part_index INTEGER NOT NULL CHECK (part_index >= 0),
    part TEXT,
    from_step INTEGER NOT NULL CHECK (from_step >= 0),
    to_step INTEGER NOT NULL CHECK (to_step >= from_step),
    verb TEXT NOT NULL,
    title TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'resting', 'dripping', 'done', 'binned')),
    place_id INTEGER,
    owner_id TEXT,
    owner_name TEXT,
    began_at INTEGER,
    earliest_at INTEGER,
    best_at INTEGER,
    latest_at INTEGER,
    latest_is TEXT CHECK (latest_is IN ('taste', 'safety')),
    drip_began_at INTEGER,
    expected_entered INTEGER CHECK (expected_entered >= 0),
    expected_measure TEXT CHECK (expected_measure IN ('ul', 'mg', 'mpc')),
    expected TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(expected)),
    got_entered INTEGER CHECK (got_entered >= 0),
    got_measure TEXT CHECK (got_measure IN ('ul', 'mg', 'mpc')),
    got_mg INTEGER CHECK (got_mg >= 0),
    contents TEXT CHECK (json_valid(contents)),
    done_at INTEGER,
    done_by TEXT,
    done_by_name TEXT,
    UNIQUE (batch_id, ordinal),
    CHECK (earliest_at IS NULL OR best_at IS NULL OR earliest_at <= best_at),
    CHECK (best_at IS NULL OR latest_at IS NULL OR best_at <= latest_at),
    UNIQUE (venue_id, id),
    FOREIGN KEY (venue_id, batch_id) REFERENCES batches (venue_id, id) ON DELETE CASCADE,
    FOREIGN KEY (venue_id, place_id) REFERENCES places (venue_id, id)
  ) STRICT;
CREATE TABLE venues (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    workspace_id TEXT NOT NULL CHECK (workspace_id <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    is_default INTEGER NOT NULL CHECK (is_default IN (0, 1)),
    zone TEXT NOT NULL CHECK (zone <> ''),
    ounce_ml REAL NOT NULL CHECK (ounce_ml BETWEEN 25 AND 35),
    dash_ml REAL NOT NULL CHECK (dash_ml BETWEEN 0.1 AND 5),
    barspoon_ml REAL NOT NULL CHECK (barspoon_ml BETWEEN 1 AND 15),
    drop_ml REAL CHECK (drop_ml BETWEEN 0.01 AND 1),
    jigger_ml REAL CHECK (jigger_ml BETWEEN 10 AND 100),
    bottle_ml REAL CHECK (bottle_ml BETWEEN 50 AND 20000),
    decimal_mark TEXT CHECK (decimal_mark IN ('.', ',')),
    units_shown TEXT NOT NULL DEFAULT 'ml' CHECK (units_shown IN ('ml', 'oz')),
    currency TEXT NOT NULL DEFAULT 'USD' CHECK (length(currency) = 3),
    rule_set TEXT NOT NULL DEFAULT 'US' CHECK (rule_set IN ('US', 'EU', 'UK', 'AU')),
    service_day_starts_min INTEGER NOT NULL DEFAULT 300 CHECK (service_day_starts_min BETWEEN 0 AND 1439),
    manager_roles TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(manager_roles)),
    ping_room_id TEXT,
    fallback_room_id TEXT,
    call_role_id TEXT,
    call_person_id TEXT,
    quiet_kinds TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(quiet_kinds)),
    assumptions_said INTEGER NOT NULL DEFAULT 0 CHECK (assumptions_said IN (0, 1)),
    next_code INTEGER NOT NULL DEFAULT 1,
    made_at INTEGER NOT NULL
  , asked_kinds TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(asked_kinds))) STRICT;
CREATE TRIGGER entries_are_final BEFORE UPDATE OF lot_id, batch_id, mass_mg, entered, measure, kind ON entries BEGIN
    SELECT RAISE(ABORT, 'an entry of the ledger is never changed: add a correction');
  END;
CREATE TRIGGER entries_sum_added AFTER INSERT ON entries WHEN NEW.lot_id IS NOT NULL BEGIN
    UPDATE lots SET left_mg = left_mg + NEW.mass_mg WHERE id = NEW.lot_id;
  END;
CREATE TRIGGER entries_sum_removed AFTER DELETE ON entries WHEN OLD.lot_id IS NOT NULL BEGIN
    UPDATE lots SET left_mg = left_mg - OLD.mass_mg WHERE id = OLD.lot_id;
  END;
