/** The baseline: discord.js with the bot's intents, nothing else. Says when it is ready, then what it weighs, and waits to be ended. */
import { Client, Events, GatewayIntentBits } from 'discord.js';

const client = new Client({
  intents: [GatewayIntentBits.Guilds, GatewayIntentBits.GuildMessages],
  allowedMentions: { parse: [] },
  waitGuildTimeout: 1500,
  rest: { api: process.env.POMACE_API, cdn: process.env.POMACE_CDN },
});
client.once(Events.ClientReady, () => process.stdout.write(`ready ${client.guilds.cache.size}\n`));
process.on('message', () => {
  globalThis.gc?.();
  process.send?.(process.memoryUsage());
});
await client.login(process.env.DISCORD_TOKEN);
