/** Drafts of build sheets, and what is said once one is saved. */
import { draftStore } from '../state/drafts.ts';
import { createStore, type Store } from '../state/store.ts';
import type { Changes } from './sheet-draft.ts';

export interface SheetDraft {
  readonly changes: Changes;
  /** Null: as suggested. */
  readonly label: string | null;
  readonly note: string | null;
  readonly planned: boolean | null;
  /** The newest build of the car when the first change was typed; absent where it was not known. */
  readonly newestId?: string;
}

const KINDS = ['number', 'table', 'choice', 'estimate'];

/** A saved draft, or null where it is none of ours. */
export const reviveChanges = (saved: unknown): Changes | null => {
  if (typeof saved !== 'object' || saved === null) return null;
  const sound = Object.values(saved).every(
    (change) => typeof change === 'object' && change !== null && KINDS.includes((change as { kind: string }).kind),
  );
  return sound ? (saved as Changes) : null;
};

const reviveDraft = (saved: object): SheetDraft | null => {
  const { changes, label = null, note = null, planned = null, newestId } = saved as Partial<SheetDraft>;
  const sound = reviveChanges(changes);
  if (!sound || Object.keys(sound).length === 0) return null;
  return { changes: sound, label, note, planned, ...(typeof newestId === 'string' ? { newestId } : {}) };
};

/** The draft over one build. */
export const sheetDraftStore = (buildId: string): Store<SheetDraft | null> =>
  draftStore(`sheet ${buildId}`, reviveDraft);

/** Takes changes from one build to another, over what was being typed there. */
export const moveDraft = (fromId: string, toId: string, draft: SheetDraft): void => {
  const there = sheetDraftStore(toId);
  there.set({ ...draft, changes: { ...there.get()?.changes, ...draft.changes } });
  sheetDraftStore(fromId).set(null);
};

/** The build that was just saved, and from which. */
export const savedStore = createStore<{ readonly buildId: string; readonly from: string } | null>(null);

/** Today by this computer's clock, as a sheet is dated. */
export const todayHere = (): string => {
  const now = new Date();
  const two = (value: number) => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};
