/** The calls of the psychrolib package that this room makes (it ships without types). */
declare module 'psychrolib' {
  interface Psychrometrics {
    readonly SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(temperatureC: number): number;
    GetMoistAirEnthalpy(temperatureC: number, humidityRatio: number): number;
  }
  const psychrolib: Psychrometrics;
  export default psychrolib;
}
