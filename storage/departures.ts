import { type Db, transact } from './open.ts';

/** Why a reminder waits that belongs to a server which the bot is out of. */
const AWAY = 'away';

/**
 * The bot was taken out of a workspace; the first time counts. What waits there is set aside rather than skipped at
 * every tick, so that a tick costs what is due in the servers it is in.
 */
export async function noteDeparture(db: Db, workspace: string, now: number): Promise<void> {
  await transact(db, async (tx) => {
    await tx
      .insertInto('departures')
      .values({ workspace_id: workspace, left_at: now })
      .onConflict((conflict) => conflict.doNothing())
      .execute();
    await tx
      .updateTable('reminders')
      .set({ state: 'undeliverable', failure: AWAY, lease_until: null })
      .where('venue_id', 'in', (eb) => eb.selectFrom('venues').select('id').where('workspace_id', '=', workspace))
      .where('state', 'in', ['waiting', 'sending'])
      .where('failure', 'is', null)
      .execute();
  });
}

/** The bot is in these workspaces (again): what was set aside waits as before, and what was in hand is looked for first. */
export async function noteReturn(db: Db, workspaces: readonly string[]): Promise<void> {
  const out = (await db.selectFrom('departures').select('workspace_id').execute()).map((row) => row.workspace_id);
  for (const workspace of out.filter((one) => workspaces.includes(one)))
    await transact(db, async (tx) => {
      const back = () =>
        tx
          .updateTable('reminders')
          .where('venue_id', 'in', (eb) => eb.selectFrom('venues').select('id').where('workspace_id', '=', workspace))
          .where('state', '=', 'undeliverable')
          .where('failure', '=', AWAY);
      await back().where('post_key', 'is not', null).set({ state: 'sending', failure: null, lease_until: 0 }).execute();
      await back().set({ state: 'waiting', failure: null }).execute();
      await tx.deleteFrom('departures').where('workspace_id', '=', workspace).execute();
    });
}

/** Workspaces that hold rows here. */
export async function listWorkspaces(db: Db): Promise<readonly string[]> {
  return (await db.selectFrom('venues').select('workspace_id').distinct().execute()).map((row) => row.workspace_id);
}

/** Workspaces that the bot has been out of since before an instant. */
export async function listDepartedBefore(db: Db, before: number): Promise<readonly string[]> {
  return (await db.selectFrom('departures').select('workspace_id').where('left_at', '<', before).execute()).map((row) => row.workspace_id);
}

export async function forgetDeparture(db: Db, workspace: string): Promise<void> {
  await db.deleteFrom('departures').where('workspace_id', '=', workspace).execute();
}
