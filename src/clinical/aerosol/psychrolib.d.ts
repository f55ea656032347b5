/** The part of PsychroLib that tests compare with; the package brings no types. Temperatures in Cel, pressures in Pa. */
declare module 'psychrolib' {
  const library: {
    readonly SI: number
    SetUnitSystem(system: number): void
    GetSatVapPres(cel: number): number
    GetSatHumRatio(cel: number, pa: number): number
    GetTWetBulbFromRelHum(cel: number, share: number, pa: number): number
    GetTDewPointFromRelHum(cel: number, share: number): number
    GetStandardAtmPressure(heightM: number): number
  }
  export default library
}
