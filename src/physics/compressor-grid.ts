/** The grid of a compressor surface's tables, shared by what fills them and what reads them; not for outside the room. */

/** Rows of the table, one a speed [-]. */
export const SPEED_ROWS = 81;
/** Columns of the table, one a flow [-]. */
export const FLOW_COLUMNS = 101;
/** Furthest flow over choke flow held in the table [-]. */
export const FLOW_END = 1.12;
/** Columns of the table per flow over choke flow [-]. */
export const COLUMNS_PER_SHARE = (FLOW_COLUMNS - 1) / FLOW_END;
/** Head lost per flow over choke flow beyond the table [-]. */
export const PAST_END = 3;
/** Bins of flow and of head in the search table [-]. */
export const SEARCH_BINS = 48;

/** Head at a row of the tables itself, at `flow` [kg/s]; past the table the line falls away steeply, so that a faster one is looked for. */
export const headOnRow = (head: Float64Array, perChokeFlow: Float64Array, row: number, flow: number): number => {
  const x = flow * perChokeFlow[row]!;
  const share = row / (SPEED_ROWS - 1);
  const squared = share * share;
  if (x >= FLOW_END) return head[row * FLOW_COLUMNS + FLOW_COLUMNS - 1]! * squared - PAST_END * (x - FLOW_END);
  const place = x * COLUMNS_PER_SHARE;
  const column = place | 0;
  const at = row * FLOW_COLUMNS + column;
  const left = head[at]!;
  return (left + (head[at + 1]! - left) * (place - column)) * squared;
};
