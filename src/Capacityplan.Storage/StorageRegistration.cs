using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace Capacityplan.Storage;

/// <summary>Registers the store.</summary>
public static class StorageRegistration
{
    /// <summary>
    /// Registers <see cref="PlanStore"/>, <see cref="CatalogueStore"/>, <see cref="JobFileStore"/> and <see cref="StorageStartup"/>, whose
    /// <see cref="StorageStartup.PrepareAsync"/> has to run once before the others are used. Needs logging; takes a
    /// <see cref="TimeProvider"/> registered before it, else the system's.
    /// </summary>
    /// <param name="services">The services.</param>
    /// <param name="configuration">Read when the options are first used, so that what a host adds to it later counts.</param>
    public static IServiceCollection AddCapacityplanStorage(this IServiceCollection services, IConfiguration configuration)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.AddOptions<StorageOptions>()
            .Configure(options => options.Read(configuration, StorageOptions.LocalApplicationData()))
            .ValidateOnStart();
        services.AddSingleton<IValidateOptions<StorageOptions>, StorageOptionsValidator>();
        services.AddSingleton<IDbContextFactory<StorageContext>, StorageContextFactory>();
        services.AddSingleton(provider => new PlanStore(Contexts(provider), provider.GetRequiredService<TimeProvider>()));
        services.AddSingleton(provider => new CatalogueStore(Contexts(provider), provider.GetRequiredService<TimeProvider>()));
        services.AddSingleton(provider => new JobFileStore(Contexts(provider)));
        services.AddSingleton(provider => new StorageStartup(
            provider.GetRequiredService<IOptions<StorageOptions>>(),
            Contexts(provider),
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<ILogger<StorageStartup>>()));
        return services;
    }

    private static IDbContextFactory<StorageContext> Contexts(IServiceProvider provider) =>
        provider.GetRequiredService<IDbContextFactory<StorageContext>>();
}
