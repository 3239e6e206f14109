const EPOCH_MS = 1_420_070_400_000n;

let lastId = 0n;

/**
 * A new id, always greater than the last. It must have 17 to 19 digits: the client's rate limiter recognises no other as a room's or server's id.
 */
export function snowflake(at: number = Date.now()): string {
  const id = (BigInt(Math.floor(at)) - EPOCH_MS) << 22n;
  lastId = id > lastId ? id : lastId + 1n;
  return lastId.toString();
}

/** An id that looks as if it was made at `at`, for what arrives late; not ordered with the others. */
export function snowflakeOf(at: number): string {
  lastId += 1n;
  return (((BigInt(Math.floor(at)) - EPOCH_MS) << 22n) | (lastId & 0x3fffffn)).toString();
}

/** Never hand out an id again that an earlier run has used. */
export function continueAfter(id: string): void {
  const given = BigInt(id);
  if (given > lastId) lastId = given;
}
