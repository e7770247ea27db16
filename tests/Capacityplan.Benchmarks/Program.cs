using Capacityplan.Benchmarks;

return args switch
{
    ["accuracy", string timings] => Accuracy.Run(timings),
    ["stealing"] => StealingBenchmark.Run(oracleToo: false),
    ["stealing", "oracle"] => StealingBenchmark.Run(oracleToo: true),
    _ => Usage(),
};

static int Usage()
{
    Console.Error.WriteLine("""
        accuracy FILE      forecast measured programs from few core counts (FILE: program,cores,sitting,repeat,seconds)
        stealing [oracle]  time the simulation of the pool (and one run of the event-by-event oracle, some 20 s)
        """);
    return 2;
}
