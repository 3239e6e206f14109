import type { Db } from './open.ts';

/** Something read but not yet agreed to: an unsaved sheet, a sentence waiting for *Save*. Its author's only, for 24 hours. */
export interface Draft {
  readonly id: number;
  readonly kind: string;
  readonly body: unknown;
  readonly madeAt: number;
}

const KEPT_MS = 24 * 60 * 60 * 1000;

/** Keeps a draft and returns its id. Not an act: nobody else sees it. */
export async function keepDraft(
  db: Db,
  author: { readonly venue: number; readonly id: string; readonly now: number },
  kind: string,
  body: unknown,
): Promise<number> {
  const { id } = await db
    .insertInto('drafts')
    .values({
      venue_id: author.venue,
      author_id: author.id,
      kind,
      body: JSON.stringify(body),
      made_at: author.now,
      expires_at: author.now + KEPT_MS,
    })
    .returning('id')
    .executeTakeFirstOrThrow();
  return id;
}

/** The author's own draft of that kind, while it lasts. The body is to be read through a schema by who keeps that kind. */
export async function findDraft(
  db: Db,
  author: { readonly venue: number; readonly id: string; readonly now: number },
  kind: string,
  id: number,
): Promise<Draft | undefined> {
  const row = await db
    .selectFrom('drafts')
    .selectAll()
    .where('id', '=', id)
    .where('venue_id', '=', author.venue)
    .where('author_id', '=', author.id)
    .where('kind', '=', kind)
    .where('expires_at', '>', author.now)
    .executeTakeFirst();
  return row && { id: row.id, kind: row.kind, body: JSON.parse(row.body) as unknown, madeAt: row.made_at };
}

/**
 * Replaces the body of the author's own draft.
 * @internal asked by tests only, so far
 */
export async function changeDraft(
  db: Db,
  author: { readonly venue: number; readonly id: string },
  id: number,
  body: unknown,
): Promise<void> {
  await db
    .updateTable('drafts')
    .set({ body: JSON.stringify(body) })
    .where('id', '=', id)
    .where('venue_id', '=', author.venue)
    .where('author_id', '=', author.id)
    .execute();
}

/** The draft was saved or given up. */
export async function dropDraft(db: Db, author: { readonly venue: number; readonly id: string }, id: number): Promise<void> {
  await db.deleteFrom('drafts').where('id', '=', id).where('venue_id', '=', author.venue).where('author_id', '=', author.id).execute();
}

/** Throws out what has expired, in every venue. */
export async function dropExpiredDrafts(db: Db, now: number): Promise<void> {
  await db.deleteFrom('drafts').where('expires_at', '<=', now).execute();
}
