using Capacityplan.Benchmarks;

return args switch
{
    ["accuracy", string timings] => Accuracy.Run(timings),
    ["published", .. string[] tables] when tables.Length > 0 => PublishedTables.Run(tables),
    ["fit"] => FitTimes.Run(),
    ["outlook"] => FitTimes.Outlook(),
    ["graphs"] => GraphBenchmark.Schedules("tests/Capacityplan.Core.Tests/reference/stg"),
    ["graphs", "large"] => await GraphBenchmark.LargeAsync("plain"),
    ["graphs", "large", "plain" or "csv" or "json"] => await GraphBenchmark.LargeAsync(args[2]),
    ["graphs", "paint"] => await SchedulePaint.RunAsync(null),
    ["graphs", "paint", string published] => await SchedulePaint.RunAsync(published),
    ["graphs", string folder] => GraphBenchmark.Schedules(folder),
    ["latency"] => await Latency.RunAsync(null),
    ["latency", string published] => await Latency.RunAsync(published),
    ["stealing"] => StealingBenchmark.Run(oracleToo: false),
    ["stealing", "oracle"] => StealingBenchmark.Run(oracleToo: true),
    ["stealing", "form"] => StealingForm.Run(settings: 250),
    _ => Usage(),
};

static int Usage()
{
    Console.Error.WriteLine("""
        accuracy FILE       forecast measured programs from few core counts (FILE: program,cores,sitting,repeat,seconds)
        published FILE...   forecast the larger half of published tables of rates from the smaller (FILE: processors,value)
        fit                 how long the fit and pricing the demo's machines take
        outlook             how long three years of growth and the sensitivities of the demo's answer take, and a what-if
        graphs [FOLDER]     how near the schedules of task graphs come to known optima (FOLDER: graphs and optima; from the root)
        graphs large [FORM] how long a graph of a million tasks takes to read and follow (FORM: plain, csv or json)
        graphs paint [FOLDER] how soon the schedule of 100,000 tasks is painted, in a browser (FOLDER: as for latency)
        latency [FOLDER]    how soon the charts follow a change, in a browser (FOLDER: a published build; else one is made)
        stealing [oracle]   time the simulation of the pool (and one run of the event-by-event oracle, some 20 s)
        stealing form       how far the closed forms of its run time are from the simulation
        """);
    return 2;
}
