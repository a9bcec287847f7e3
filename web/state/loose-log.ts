/** A log that was read without a car: held while the page is open, so that it can be brought in once there is one. */
import { createStore } from './store.ts';

export const looseLogStore = createStore<File | null>(null);
