/** Light, dark, or as the laptop is set. */
import { createSavedStore } from './store.ts';

export const THEMES = ['laptop', 'light', 'dark'] as const;
export type Theme = (typeof THEMES)[number];

export const themeStore = createSavedStore<Theme>('boostwright.theme', 'laptop', (saved) =>
  THEMES.includes(saved as Theme) ? (saved as Theme) : null,
);

const apply = () => {
  const theme = themeStore.get();
  if (theme === 'laptop') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
};

/** Puts the remembered theme on the page and keeps it there. */
export const startTheme = (): void => {
  apply();
  themeStore.subscribe(apply);
};
