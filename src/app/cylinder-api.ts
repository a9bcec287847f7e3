/** What the server answers about the cylinder at an engine speed. Types only. */
import type { CylinderAnswerAtSpeed } from '../match/index.ts';
import type { ConditionsView } from './api.ts';

/** GET /api/builds/:buildId/cylinder?rpm=4500 and the air of {@link ConditionsView}. */
export interface CylinderView extends CylinderAnswerAtSpeed {
  readonly schema: 'boostwright.cylinder/1';
  readonly buildId: string;
  readonly conditions: ConditionsView;
  readonly cautions: readonly string[];
}
