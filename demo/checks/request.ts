import type { SentFile } from '../body.ts';
import type { Callback } from '../interactions.ts';
import type { Problem } from '../platform-error.ts';
import type { MessageBody } from '../posting.ts';
import type { RegisteredCommand } from '../shapes.ts';
import { checkChoices, checkCommand, checkCommands } from './commands.ts';
import { checkForm } from './form.ts';
import { checkMessage } from './message.ts';
import { listOf, Problems } from './problems.ts';

/** What is known of the message that a request edits. */
export interface Edited {
  readonly v2: boolean;
  readonly files: readonly string[];
}

const EPHEMERAL = 64;

/** The rules that the published schema lacks. `edited`: the message that a PATCH or an updating callback changes. */
export function checkRequest(
  method: string,
  path: string,
  body: unknown,
  files: readonly SentFile[],
  edited: Edited | undefined,
): readonly Problem[] {
  const problems = new Problems();
  const known = edited ? { wasV2: edited.v2, hasFiles: edited.files } : {};
  if (method === 'POST' && path.endsWith('/callback')) checkCallback(problems, body as Callback, files, known);
  else if (method === 'POST' && /^\/channels\/\d+\/messages$/.test(path))
    checkMessage(problems, [], body as MessageBody, files, { as: 'room' });
  else if (method === 'POST' && /^\/webhooks\/\d+\/[^/]+$/.test(path))
    checkMessage(problems, [], body as MessageBody, files, { as: 'answer' });
  else if (method === 'PATCH' && path.includes('/messages/'))
    checkMessage(problems, [], body as MessageBody, files, { as: 'edit', ...known });
  else if (method === 'PUT' && path.endsWith('/commands')) checkCommands(problems, [], listOf<RegisteredCommand>(body));
  else if (method === 'POST' && path.endsWith('/commands')) checkCommand(problems, [], body as RegisteredCommand);
  return problems.found;
}

function checkCallback(
  problems: Problems,
  callback: Callback,
  files: readonly SentFile[],
  known: { wasV2?: boolean; hasFiles?: readonly string[] },
): void {
  const given = callback.data ?? {};
  switch (callback.type) {
    case 4:
      return checkMessage(problems, ['data'], given, files, { as: 'answer' });
    case 5:
      problems.keys(['data'], given, ['flags']);
      if ((given.flags ?? 0) & ~EPHEMERAL)
        problems.add(['data', 'flags'], 'a deferred answer is seen by the asker or by all, and has no other flag');
      return;
    case 7:
      return checkMessage(problems, ['data'], given, files, { as: 'edit', ...known });
    case 8:
      problems.keys(['data'], given, ['choices']);
      return checkChoices(problems, ['data', 'choices'], listOf(given.choices));
    case 9:
      return checkForm(problems, ['data'], given);
    default:
  }
}
