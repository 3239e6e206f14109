import type { Db } from './open.ts';

/** The bot was taken out of a workspace; the first time counts. Nothing of it is told while it is out. */
export async function noteDeparture(db: Db, workspace: string, now: number): Promise<void> {
  await db
    .insertInto('departures')
    .values({ workspace_id: workspace, left_at: now })
    .onConflict((conflict) => conflict.doNothing())
    .execute();
}

/** The bot is in these workspaces (again). */
export async function noteReturn(db: Db, workspaces: readonly string[]): Promise<void> {
  const out = (await db.selectFrom('departures').select('workspace_id').execute()).map((row) => row.workspace_id);
  for (const workspace of out.filter((one) => workspaces.includes(one)))
    await db.deleteFrom('departures').where('workspace_id', '=', workspace).execute();
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
