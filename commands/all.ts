import { allergens } from './allergens.ts';
import { batch, pressBatch } from './batch.ts';
import { bin, pressBinBatch, pressBinLot, pressBinWhy } from './bin.ts';
import type { Command, MessageCommand, Press } from './command.ts';
import { convert } from './convert.ts';
import { pressCool } from './cool.ts';
import { cut, pressCutKeep } from './cut.ts';
import { dilute } from './dilute.ts';
import { pressDrip } from './drip.ts';
import { erase, pressErase, pressUnerase } from './erase.ts';
import { exportAll, importAll } from './export.ts';
import { give, pressGiveTo, pressMine } from './give.ts';
import { handover } from './handover.ts';
import { help } from './help.ts';
import { ingredient } from './ingredient.ts';
import { keep, pressKeepLabel, pressKeepOpened } from './keep.ts';
import { label, pressLabel } from './label.ts';
import { longer, pressLonger, pressLongerBy } from './longer.ts';
import { pressMore } from './more.ts';
import { move } from './move.ts';
import { offer, offered, pressOfferTake, pressOfferWithdraw } from './offer.ts';
import { pantry } from './pantry.ts';
import { par } from './par.ts';
import { plan, pressPlanCancel, pressPlanShow, pressPlanStart } from './plan.ts';
import { prep, pressPlanJobDone, pressPlanJobStart, pressPrepTick } from './prep.ts';
import { reading } from './readings.ts';
import { ready } from './ready.ts';
import { pressRecipeSheet, pressSheetMend, pressSheetRead, pressSheetSave, pressSheetSeveral, recipe, saveAsRecipe } from './recipe.ts';
import { pressImportSave } from './recipe-files.ts';
import { pressRecipeBack } from './recipe-history.ts';
import { resting } from './resting.ts';
import { back, eightySix, pressBack } from './runout.ts';
import { pressSaidMend, pressSaidSave } from './said.ts';
import { pressScaledSheet, pressScaleTo, scale } from './scale.ts';
import { pressStartChange, pressStartOpened, pressStartRecipe, pressStartSigned, start } from './start.ts';
import { pressGot, pressGotSure, strained } from './strained.ts';
import { strength } from './strength.ts';
import { swap } from './swap.ts';
import { take } from './take.ts';
import { pressTimerAgain, pressTimerCancel, timer } from './timer.ts';
import { pressHold, pressRelease, pressTrace, trace } from './trace.ts';
import { pressUndo, undo } from './undo.ts';
import { useup } from './useup.ts';
import { venue } from './venue.ts';
import { waste } from './waste.ts';

/** Every slash command, in the order of a shift. A static list: nothing is found by scanning folders. */
export const commands: readonly Command[] = [
  convert,
  scale,
  start,
  ready,
  resting,
  batch,
  strained,
  longer,
  give,
  reading,
  pantry,
  keep,
  take,
  move,
  bin,
  eightySix,
  back,
  strength,
  dilute,
  swap,
  cut,
  allergens,
  label,
  trace,
  waste,
  handover,
  timer,
  undo,
  help,
  recipe,
  ingredient,
  plan,
  prep,
  useup,
  par,
  offer,
  offered,
  venue,
  exportAll,
  importAll,
  erase,
];

/** Every message command. */
export const messageCommands: readonly MessageCommand[] = [saveAsRecipe];

/** Every press, by the name that stands in a `custom_id`. */
export const presses: Readonly<Record<string, Press>> = {
  'sheet-read': pressSheetRead,
  'sheet-mend': pressSheetMend,
  'sheet-save': pressSheetSave,
  'sheet-several': pressSheetSeveral,
  'recipe-sheet': pressRecipeSheet,
  'recipe-back': pressRecipeBack,
  'import-save': pressImportSave,
  'scale-to': pressScaleTo,
  'scaled-sheet': pressScaledSheet,
  'start-recipe': pressStartRecipe,
  'start-opened': pressStartOpened,
  'start-signed': pressStartSigned,
  'start-change': pressStartChange,
  'keep-opened': pressKeepOpened,
  'keep-label': pressKeepLabel,
  label: pressLabel,
  trace: pressTrace,
  hold: pressHold,
  release: pressRelease,
  'cut-keep': pressCutKeep,
  back: pressBack,
  'offer-take': pressOfferTake,
  'offer-withdraw': pressOfferWithdraw,
  batch: pressBatch,
  drip: pressDrip,
  longer: pressLonger,
  'longer-by': pressLongerBy,
  more: pressMore,
  mine: pressMine,
  'give-to': pressGiveTo,
  'bin-lot': pressBinLot,
  'bin-batch': pressBinBatch,
  'bin-why': pressBinWhy,
  'said-save': pressSaidSave,
  'said-mend': pressSaidMend,
  got: pressGot,
  'got-sure': pressGotSure,
  undo: pressUndo,
  cool: pressCool,
  erase: pressErase,
  unerase: pressUnerase,
  'plan-start': pressPlanStart,
  'plan-cancel': pressPlanCancel,
  'plan-show': pressPlanShow,
  'plan-job-start': pressPlanJobStart,
  'plan-job-done': pressPlanJobDone,
  'prep-tick': pressPrepTick,
  'timer-cancel': pressTimerCancel,
  'timer-again': pressTimerAgain,
};
