import './state/schemas.ts';
import '@fontsource/ibm-plex-sans/latin-400.css';
import '@fontsource/ibm-plex-sans/latin-600.css';
import '@fontsource/ibm-plex-sans/latin-700.css';
import './look/tokens.css';
import './look/base.css';
import './look/frame.css';
import './look/controls.css';
import './look/title.css';
import './look/drawing.css';
import './look/air-path.css';
import './look/headroom.css';
import './look/lift.css';
import './look/lift-search.css';
import './look/compressor.css';
import './look/build-sheet.css';
import './look/sheet-edit.css';
import './look/new-car.css';
import './look/fuel.css';
import './look/cylinder.css';
import './look/spool.css';
import './look/what-if.css';
import './look/panel.css';
import './look/run.css';
import './look/traces.css';
import './look/runs.css';
import './look/compare.css';
import './look/pulls.css';
import 'uplot/dist/uPlot.min.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { startRoute } from './state/route.ts';
import { startTheme } from './state/theme.ts';

startTheme();
startRoute();
createRoot(document.getElementById('sheet')!).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
