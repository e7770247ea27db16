using Capacityplan.Benchmarks;

return args switch
{
    ["accuracy", string timings] => Accuracy.Run(timings),
    _ => Usage(),
};

static int Usage()
{
    Console.Error.WriteLine("""
        accuracy FILE    forecast measured programs from few core counts (FILE: program,cores,sitting,repeat,seconds)
        """);
    return 2;
}
