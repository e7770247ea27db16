using Capacityplan.Benchmarks;

return args switch
{
    ["accuracy", string timings] => Accuracy.Run(timings),
    ["fit"] => FitTimes.Run(),
    ["latency"] => await Latency.RunAsync(null),
    ["latency", string published] => await Latency.RunAsync(published),
    _ => Usage(),
};

static int Usage()
{
    Console.Error.WriteLine("""
        accuracy FILE       forecast measured programs from few core counts (FILE: program,cores,sitting,repeat,seconds)
        fit                 how long the fit and pricing the demo's machines take
        latency [FOLDER]    how soon the charts follow a change, in a browser (FOLDER: a published build; else one is made)
        """);
    return 2;
}
