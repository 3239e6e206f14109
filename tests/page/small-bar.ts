import { ApplicationCommandType } from 'discord-api-types/v10';
import type { Asks } from '../../bot/asks.ts';
import type { Command, Message, Reply } from '../../commands/command.ts';
import type { Post } from '../../commands/jobs/reminders.ts';

/** A handful of things to ask, so that the page is tested by itself: each says back what it was given. */

const TEXT = 3;
const SUB = 1;
const FILE = 11;
const RECIPES = ['Pear and cider-vinegar cordial', 'Damson and tarragon shrub', 'Toasted barley orgeat'];

const says = (heading: string, more: Partial<Message> = {}): Reply => ({
  to: 'room',
  card: { tone: 'plain', heading, blocks: [] },
  ...more,
});

/** One grey pixel. */
const PNG = Buffer.from('iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==', 'base64');

const word = (options: Readonly<Record<string, unknown>>, name: string): string => {
  const typed = options[name];
  return typeof typed === 'string' ? typed : 'none';
};

const commands: readonly Command[] = [
  {
    card: {
      name: 'scale',
      description: 'A recipe rewritten for the amount you need',
      options: [
        { type: TEXT, name: 'recipe', description: 'Which recipe', required: true, autocomplete: true },
        { type: TEXT, name: 'to', description: '3 l, 60 serves, x3.5', required: true },
        { type: TEXT, name: 'measure', description: 'Round to these tools', choices: [{ name: 'jigger marks', value: 'jigger' }] },
      ],
    },
    suggest: {
      recipe: async (typed) =>
        RECIPES.filter((name) => name.toLowerCase().includes(typed.toLowerCase())).map((name) => ({
          name,
          value: `r:${RECIPES.indexOf(name)}`,
        })),
    },
    answer: async (options) =>
      says(`scaled ${word(options, 'recipe')} to ${word(options, 'to')} by ${word(options, 'measure')}`, {
        rows: [
          [
            { label: 'Start this batch', press: 'start', look: 'main' },
            { label: 'Bin it', press: 'bin', look: 'stop' },
          ],
        ],
      }),
  },
  {
    card: {
      name: 'recipe',
      description: 'Recipes',
      options: [{ type: SUB, name: 'add', description: 'Write a new recipe' }],
    },
    answer: async () => ({
      form: {
        press: 'save',
        title: 'A new recipe',
        fields: [
          { is: 'text', name: 'sheet', label: 'Sheet', long: true, required: true, hint: 'as you would write it on a docket' },
          { is: 'text', name: 'by', label: 'Whose', value: 'the house' },
          {
            is: 'choice',
            name: 'kind',
            label: 'Kind',
            choices: [
              { label: 'house ingredient', value: 'house' },
              { label: 'drink', value: 'drink' },
            ],
          },
        ],
      },
    }),
  },
  {
    card: { name: 'stop', description: 'A refusal for you alone' },
    answer: async () => ({ to: 'asker', card: { tone: 'stop', heading: 'No recipe called "damsen"', blocks: [] } }),
  },
  {
    card: { name: 'opened', description: 'Asks when it was opened' },
    answer: async () =>
      says('Opened when?', {
        menu: {
          press: 'opened',
          prompt: 'Which day',
          choices: [
            { label: 'Monday', value: 'mon', hint: 'day 4' },
            { label: 'Tuesday', value: 'tue' },
          ],
        },
      }),
  },
  {
    card: { name: 'label', description: 'A picture' },
    answer: async () =>
      says('a label', { files: [{ name: 'label.png', type: 'image/png', bytes: PNG, says: 'Pear pulp, use by Wed 11 Mar' }] }),
  },
  {
    card: {
      name: 'import',
      description: 'Reads a file',
      options: [{ type: FILE, name: 'file', description: 'A text file', required: true }],
    },
    answer: async (options) => {
      const file = options['file'] as { readonly name: string; readonly text: () => Promise<string> };
      return says(`read ${file.name}: ${await file.text()}`, {
        files: [{ name: 'back.csv', type: 'text/csv', bytes: new TextEncoder().encode('lot,ml\npear,490\n') }],
      });
    },
  },
];

/** One ping, a day after the page was opened. */
export function smallBar(pingAt: number): Asks & { readonly prep: { role: string; room: string } } {
  let waiting: number | null = pingAt;
  const prep = { role: '', room: '' };
  return {
    prep,
    commands,
    messageCommands: [
      {
        card: { name: 'Save as recipe', type: ApplicationCommandType.Message },
        answer: async (text) => says(`saving: ${text}`),
      },
    ],
    presses: {
      start: async (_pressed, asker) => ({
        edits: [{ of: 'pressed', message: { card: { tone: 'done', heading: `started by ${asker.name}`, blocks: [] } } }],
      }),
      bin: async () => ({ to: 'asker', card: { tone: 'careful', heading: 'binned', blocks: [] } }),
      save: async ({ fields }) =>
        says(`saved ${fields['kind'] ?? '?'} of ${fields['by'] ?? '?'}`, {
          card: {
            tone: 'done',
            heading: 'saved',
            blocks: [
              { is: 'sheet', text: fields['sheet'] ?? '' },
              { is: 'text', text: `${fields['kind'] ?? '?'} of ${fields['by'] ?? '?'}` },
            ],
          },
        }),
      opened: async ({ fields }) => says(`opened on ${fields['pick'] ?? '?'}`),
    },
    answerMention: async (text) => says(`you asked: ${text}`),
    dueMessages: async (_bench, now): Promise<readonly Post[]> => {
      if (waiting === null || waiting > now) return [];
      waiting = null;
      return [
        {
          occurrence: 'pears-ready',
          room: prep.room,
          venue: 1,
          reminders: [1],
          lateMs: 0,
          again: false,
          message: {
            card: { tone: 'plain', heading: 'Strain the pears: ready since 14:00', blocks: [{ is: 'text', text: 'expect about 1.6 l' }] },
            rows: [[{ label: 'Got', press: 'start', look: 'done' }]],
            ping: { roles: [prep.role] },
          },
        },
      ];
    },
    posted: async () => undefined,
    notPosted: async () => undefined,
    nextDueAt: async () => waiting,
    tidy: async () => undefined,
  };
}
