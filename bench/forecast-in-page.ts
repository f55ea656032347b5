import { measureForecast } from './measure-forecast.ts'

/** Run inside a page: leaves the measurement where the driver can call it. */
Object.assign(globalThis, { measureForecast })
