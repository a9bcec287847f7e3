/** The lift room: what a change of parts gains and costs, and which parts to buy. Other rooms import from here only. */
export { AS_FITTED, type Choice, chosenOptions, type FitResult, fitParts, keepAll, priceOf } from './fit.ts';
export {
  checkPartOptions,
  fieldsSet,
  OPTIONS_SCHEMA,
  type PartOption,
  type PartOptions,
  type PartOptionsResult,
  type PartPlace,
  parsePartOptions,
  writePartOptions,
} from './options.ts';
